using EarReferral.Delivery.Alarms;
using EarReferral.Delivery.Working;
using Microsoft.Extensions.Hosting;

namespace EarReferral.Delivery.Tests.Alarms;

/// <summary>The sign of life stays away as soon as any loop does.</summary>
public sealed class HeartbeatTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task WhileEveryLoopGoesRound_ItIsSent()
    {
        await using var site = await AlarmSite.StartAsync();
        var loops = await StartedAsync(site);

        await GoRoundAsync(site, TimeSpan.FromMinutes(10));

        Assert.True(await Beat(site).BeatAsync(Stop));
        Assert.Equal(1, site.Heartbeats);
        await StopAsync(loops);
    }

    [Theory]
    [InlineData(typeof(DeliveryWorker), "worker westerquay-ent 0")]
    [InlineData(typeof(OverdueWatch), "clocks")]
    [InlineData(typeof(AlarmWorker), "alarms")]
    public async Task WhenALoopStops_ItStaysAway(Type stopped, string named)
    {
        await using var site = await AlarmSite.StartAsync();
        var loops = await StartedAsync(site);
        await loops.Single(loop => loop.GetType() == stopped).StopAsync(Stop);

        await GoRoundAsync(site, TimeSpan.FromMinutes(10), named);

        Assert.Contains(named, site.Fixture.Get<Pulse>().Silent());
        Assert.False(await Beat(site).BeatAsync(Stop));
        Assert.Equal(0, site.Heartbeats);
        await StopAsync(loops);
    }

    private static Heartbeat Beat(AlarmSite site) => site.Fixture.Get<IEnumerable<IHostedService>>().OfType<Heartbeat>().Single();

    private static async Task<List<IHostedService>> StartedAsync(AlarmSite site)
    {
        var loops = site.Fixture.Get<IEnumerable<IHostedService>>().Where(service => service is not Heartbeat).ToList();
        foreach (var loop in loops)
        {
            await loop.StartAsync(Stop);
        }

        return loops;
    }

    /// <summary>Moves the clock in small steps; each waits until every loop but the stopped one has caught up, however busy the machine is.</summary>
    private static async Task GoRoundAsync(AlarmSite site, TimeSpan time, string? stopped = null)
    {
        using var patience = CancellationTokenSource.CreateLinkedTokenSource(Stop);
        patience.CancelAfter(TimeSpan.FromSeconds(60));
        for (var gone = TimeSpan.Zero; gone < time; gone += TimeSpan.FromSeconds(20))
        {
            site.Fixture.Clock.Advance(TimeSpan.FromSeconds(20));
            do
            {
                await Task.Delay(20, patience.Token);
            }
            while (site.Fixture.Get<Pulse>().Silent().Any(loop => stopped is null || loop.Split(' ')[0] != stopped.Split(' ')[0]));
        }
    }

    private static async Task StopAsync(List<IHostedService> loops)
    {
        foreach (var loop in loops)
        {
            await loop.StopAsync(Stop);
        }
    }
}
