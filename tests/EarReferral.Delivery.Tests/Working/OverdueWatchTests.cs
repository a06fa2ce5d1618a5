using EarReferral.Delivery.Tests.Fixtures;
using EarReferral.Delivery.Working;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;

namespace EarReferral.Delivery.Tests.Working;

public sealed class OverdueWatchTests
{
    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    [Theory]
    [InlineData("T0", 5)]
    [InlineData("T1", 15)]
    [InlineData("unreadable", 5)] // handled as the most urgent, never as the least
    public async Task Paused_destination_does_not_hide_an_overdue_referral(string tier, int minutes) // S20
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        await fixture.Destinations.PauseAsync(DeliveryFixture.Destination, true, "operator", fixture.Clock.GetUtcNow(), Cancellation);
        var id = await fixture.QueueAsync(tier);
        var watch = Watch(fixture);

        fixture.Clock.Advance(TimeSpan.FromMinutes(minutes) - TimeSpan.FromSeconds(1));
        await watch.LookAsync(Cancellation);
        Assert.Empty(await AlarmsAsync(fixture, id));

        fixture.Clock.Advance(TimeSpan.FromSeconds(1));
        await watch.LookAsync(Cancellation);
        await watch.LookAsync(Cancellation);
        Assert.Single(await AlarmsAsync(fixture, id));
    }

    [Fact]
    public async Task Alarm_is_not_raised_again_after_a_restart()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var id = await fixture.QueueAsync("T0");
        fixture.Clock.Advance(TimeSpan.FromHours(1));
        await Watch(fixture).LookAsync(Cancellation);

        await using var restarted = fixture.SecondNode();
        await restarted.GetServices<IHostedService>().OfType<OverdueWatch>().Single().LookAsync(Cancellation);

        Assert.Single(await AlarmsAsync(fixture, id));
    }

    [Fact]
    public async Task Refused_content_does_not_hide_an_overdue_referral()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers(EntReceiver.Outcome(422, ("error", "required")));
        var id = await fixture.QueueAsync("T0");
        await fixture.DeliverAsync();
        var watch = Watch(fixture);

        fixture.Clock.Advance(TimeSpan.FromMinutes(5));
        await watch.LookAsync(Cancellation);

        Assert.EndsWith("Sending has stopped.", Assert.Single(await fixture.TimelineAsync(id), entry => entry.Kind == OverdueAlarm.Overdue).Detail, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Late_post_is_overdue_from_the_decision_not_from_its_arrival()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var id = await fixture.QueueAsync("T0", late: TimeSpan.FromHours(2));

        await Watch(fixture).LookAsync(Cancellation);

        Assert.Single(await AlarmsAsync(fixture, id));
    }

    [Fact]
    public async Task First_failed_attempt_of_a_late_post_raises_the_alarm()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers(EntReceiver.Status(503));
        var id = await fixture.QueueAsync("T0", late: TimeSpan.FromHours(2));

        await fixture.DeliverAsync();

        Assert.Single(await AlarmsAsync(fixture, id));
    }

    [Fact]
    public async Task Withdrawn_referral_raises_no_alarm()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var id = await fixture.QueueAsync("T0");
        await fixture.RevokeAsync(id);

        fixture.Clock.Advance(TimeSpan.FromHours(1));
        await Watch(fixture).LookAsync(Cancellation);

        Assert.Empty(await AlarmsAsync(fixture, id));
    }

    [Fact]
    public async Task Delivered_referral_raises_no_alarm()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var id = await fixture.QueueAsync("T0");
        var watch = Watch(fixture);
        await watch.LookAsync(Cancellation);
        await fixture.DeliverAsync();

        fixture.Clock.Advance(TimeSpan.FromHours(1));
        await watch.LookAsync(Cancellation);

        Assert.Empty(await AlarmsAsync(fixture, id));
    }

    private static OverdueWatch Watch(DeliveryFixture fixture) => fixture.Get<IEnumerable<IHostedService>>().OfType<OverdueWatch>().Single();

    private static async Task<IEnumerable<string>> AlarmsAsync(DeliveryFixture fixture, string id) =>
        (await fixture.TimelineAsync(id)).Select(entry => entry.Kind).Where(kind => kind == OverdueAlarm.Overdue);
}
