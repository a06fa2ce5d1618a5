using EarReferral.Delivery.Tests.Fixtures;
using EarReferral.Delivery.Working;
using EarReferral.Storage.Referrals;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;

namespace EarReferral.Delivery.Tests.Working;

public sealed class DeliveryWorkerTests
{
    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    [Fact] // S21
    public async Task Two_instances_on_one_store_send_each_referral_once()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var ids = new List<string>();
        for (var count = 0; count < 10; count++)
        {
            ids.Add(await fixture.QueueAsync());
        }

        await using var second = fixture.SecondNode();
        using var one = Worker(fixture.Get<IEnumerable<IHostedService>>());
        using var two = Worker(second.GetServices<IHostedService>());
        await one.StartAsync(Cancellation);
        await two.StartAsync(Cancellation);
        foreach (var id in ids)
        {
            await DeliveredAsync(fixture, id);
        }

        await one.StopAsync(Cancellation);
        await two.StopAsync(Cancellation);
        Assert.Equal(10, fixture.Receiver.Sends.Count);
        Assert.Equal(10, fixture.Receiver.Created);
    }

    [Fact]
    public async Task Signal_wakes_an_idle_worker_without_the_clock_moving()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        using var worker = Worker(fixture.Get<IEnumerable<IHostedService>>());
        await worker.StartAsync(Cancellation);

        var id = await fixture.QueueAsync();
        fixture.Get<DeliverySignal>().Ring();

        await DeliveredAsync(fixture, id);
        await worker.StopAsync(Cancellation);
    }

    [Fact]
    public async Task Stopping_in_the_middle_of_an_attempt_gives_the_referral_back_with_a_probe_due()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        using var arrived = new SemaphoreSlim(0);
        using var answer = new ManualResetEventSlim();
        fixture.Receiver.Answers(request =>
        {
            fixture.Receiver.Keep(request);
            arrived.Release();
            answer.Wait(TimeSpan.FromSeconds(30));
            return EntReceiver.Message(200, string.Empty);
        });
        var id = await fixture.QueueAsync();
        using var worker = Worker(fixture.Get<IEnumerable<IHostedService>>());
        await worker.StartAsync(Cancellation);
        await arrived.WaitAsync(Cancellation);

        await worker.StopAsync(Cancellation);
        answer.Set();
        Assert.True(await fixture.DeliverAsync());

        Assert.Equal(["stopped", "delivered"], await fixture.OutcomesAsync(id));
        Assert.Equal(1, fixture.Receiver.Created);
        Assert.Single(fixture.Receiver.Sends);
    }

    private static DeliveryWorker Worker(IEnumerable<IHostedService> services) => services.OfType<DeliveryWorker>().Single();

    private static async Task DeliveredAsync(DeliveryFixture fixture, string id)
    {
        using var patience = CancellationTokenSource.CreateLinkedTokenSource(Cancellation);
        patience.CancelAfter(TimeSpan.FromSeconds(60));
        while (await fixture.StateAsync(id) is not ReferralState.Delivered)
        {
            await Task.Delay(20, patience.Token);
        }
    }
}
