using EarReferral.Delivery.Tests.Fixtures;
using EarReferral.Delivery.Working;
using EarReferral.Storage.Referrals;
using Microsoft.Extensions.Hosting;

namespace EarReferral.Delivery.Tests.Working;

/// <summary>The receiver is down for a week of simulated time.</summary>
public sealed class DownForAWeekTests(ITestOutputHelper output)
{
    // The delivery clocks of docs/delivery.md, of no published source.
    private static readonly Dictionary<string, TimeSpan> DeliverWithin = new()
    {
        ["T0"] = TimeSpan.FromMinutes(5),
        ["T1"] = TimeSpan.FromMinutes(15),
        ["T2"] = TimeSpan.FromHours(4),
        ["T3"] = TimeSpan.FromDays(1),
    };

    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Everything_arrives_once_afterwards_and_each_clock_has_raised_its_alarm_in_time()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.IsDown = true;
        var tiers = new Dictionary<string, string>();
        foreach (var tier in DeliverWithin.Keys)
        {
            tiers[await fixture.QueueAsync(tier)] = tier;
        }

        var watch = fixture.Get<IEnumerable<IHostedService>>().OfType<OverdueWatch>().Single();
        await RunAsync(fixture, watch, DeliveryFixture.Start.AddDays(7));
        Assert.Equal(0, fixture.Receiver.Created);
        var sends = fixture.Receiver.Sends.Count;

        fixture.Receiver.IsDown = false;
        await RunAsync(fixture, watch, DeliveryFixture.Start.AddDays(7).AddHours(3));

        Assert.Equal(tiers.Count, fixture.Receiver.Created);
        foreach (var (id, tier) in tiers)
        {
            Assert.Equal(ReferralState.Delivered, await fixture.StateAsync(id));
            var alarm = Assert.Single(await fixture.TimelineAsync(id), entry => entry.Kind == OverdueAlarm.Overdue);
            Assert.InRange(alarm.At, DeliveryFixture.Start, DeliveryFixture.Start + DeliverWithin[tier] + TimeSpan.FromSeconds(20));
            var attempts = await fixture.AttemptsAsync(id);
            output.WriteLine($"{tier}: {attempts.Count} attempts in a week, alarm after {alarm.At - DeliveryFixture.Start}, delivered {attempts[^1].At - DeliveryFixture.Start.AddDays(7)} after the receiver came back");

            // Once a minute for a week would be 10,080.
            Assert.InRange(attempts.Count, 50, 450);
        }

        output.WriteLine($"{sends} transactions reached the receiver that was down");
    }

    /// <summary>One lane and the watch, as the service runs them, on a clock that jumps to the next thing that is planned.</summary>
    private static async Task RunAsync(DeliveryFixture fixture, OverdueWatch watch, DateTimeOffset until)
    {
        while (fixture.Clock.GetUtcNow() < until)
        {
            await watch.LookAsync(Cancellation);
            while (await fixture.DeliverAsync())
            {
            }

            // While alarms are near the watch looks as often as it does, afterwards every ten minutes spares the test its time.
            var age = fixture.Clock.GetUtcNow() - DeliveryFixture.Start;
            var step = age < TimeSpan.FromMinutes(16) ? TimeSpan.FromSeconds(20) : TimeSpan.FromMinutes(10);
            var nextAlarm = DeliverWithin.Values.Where(limit => limit > age).Select(limit => limit - age).DefaultIfEmpty(step).Min();
            fixture.Clock.Advance(fixture.Agenda.Sleep(fixture.Clock.GetUtcNow(), nextAlarm < step ? nextAlarm : step));
        }
    }
}
