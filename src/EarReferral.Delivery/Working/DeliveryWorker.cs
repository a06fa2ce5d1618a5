using EarReferral.Delivery.Alarms;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;

namespace EarReferral.Delivery.Working;

/// <summary>Keeps every configured destination supplied by its own lanes, so that a slow one holds up no other.</summary>
internal sealed class DeliveryWorker(
    Courier courier, DeliverySignal signal, Pulse pulse, TimeProvider clock, IOptions<DeliveryOptions> options, ILogger<DeliveryWorker> logger) : BackgroundService
{
    public override Task StartAsync(CancellationToken cancellationToken)
    {
        foreach (var (name, destination) in options.Value.Destinations)
        {
            for (var lane = 0; lane < destination.Lanes; lane++)
            {
                // One round is a probe, a send, two minutes of asking for its result, a probe, and a sleep.
                pulse.Expect(Loop(name, lane), (3 * destination.AttemptTimeout) + options.Value.LongestSleep + TimeSpan.FromMinutes(3));
            }
        }

        return base.StartAsync(cancellationToken);
    }

    protected override Task ExecuteAsync(CancellationToken stoppingToken) => Task.WhenAll(
        options.Value.Destinations.SelectMany(destination =>
        {
            var agenda = new Agenda();
            return Enumerable.Range(0, destination.Value.Lanes)
                .Select(lane => Task.Run(() => RunLaneAsync(destination.Key, lane, destination.Value, agenda, stoppingToken), CancellationToken.None));
        }));

    private static string Loop(string name, int lane) => $"worker {name} {lane}";

    private async Task RunLaneAsync(string name, int lane, DestinationOptions destination, Agenda agenda, CancellationToken stopping)
    {
        var loop = Loop(name, lane);
        while (!stopping.IsCancellationRequested)
        {
            pulse.Beat(loop);
            var bell = signal.Next;
            try
            {
                if (await courier.DeliverNextAsync(name, destination, agenda, stopping))
                {
                    continue;
                }
            }
            catch (OperationCanceledException) when (stopping.IsCancellationRequested)
            {
                return;
            }
#pragma warning disable CA1031 // A fault of the store must not end the lane; it is logged, and the lane looks again after its sleep.
            catch (Exception fault)
#pragma warning restore CA1031
            {
                Log.LaneFault(logger, fault, name);
            }

            pulse.Beat(loop);
            await SleepAsync(bell, agenda.Sleep(clock.GetUtcNow(), options.Value.LongestSleep), stopping);
        }
    }

    private async Task SleepAsync(Task bell, TimeSpan longest, CancellationToken stopping)
    {
        using var woken = CancellationTokenSource.CreateLinkedTokenSource(stopping);
        var slept = Task.Delay(longest, clock, woken.Token);
        await Task.WhenAny(bell, slept);
        await woken.CancelAsync();
        await slept.ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
    }
}
