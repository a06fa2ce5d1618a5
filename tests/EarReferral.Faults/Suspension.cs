using System.Diagnostics;

namespace EarReferral.Faults;

/// <summary>Stops an instance while it sends, waits until another has its work, and lets it go on: it must then say nothing about what it lost.</summary>
internal sealed class Suspension(IReadOnlyList<GatewayInstance> gateways, GatewayStore store, TextWriter report)
{
    // A lease of 15 s and a sleep of 4 s; the instance sleeps longer than both.
    private static readonly TimeSpan AtLeast = TimeSpan.FromSeconds(25);
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(90);
    private readonly List<double> takeovers = [];

    /// <summary>Longest time from the stop until every lease that stood then was gone, in seconds; null when no stop ever met a lease.</summary>
    public double? Longest => takeovers.Count == 0 ? null : takeovers.Max();

    /// <summary>Does it once.</summary>
    public async Task RunAsync(int turn, CancellationToken stop)
    {
        var gateway = gateways[turn % gateways.Count];
        var waited = Stopwatch.GetTimestamp();
        while ((await store.LeasesAsync()).Count == 0 && Stopwatch.GetElapsedTime(waited) < Patience)
        {
            await Task.Delay(10, stop);
        }

        await gateway.SignalAsync("STOP");
        var stopped = Stopwatch.GetTimestamp();
        // Whatever is committed by now is what the sleeper takes with it; the other one's leases end by themselves within its attempt.
        var held = await store.LeasesAsync();
        double? taken = null;
        try
        {
            while (Stopwatch.GetElapsedTime(stopped) < AtLeast || (taken is null && Stopwatch.GetElapsedTime(stopped) < Patience))
            {
                var now = await store.LeasesAsync();
                if (taken is null && held.All(lease => now.GetValueOrDefault(lease.Key) != lease.Value))
                {
                    taken = Stopwatch.GetElapsedTime(stopped).TotalSeconds;
                }

                await Task.Delay(100, stop);
            }
        }
        finally
        {
            await gateway.SignalAsync("CONT");
        }

        // A stop between two attempts meets no lease of its own and says nothing about taking over.
        if (taken is > 5 or null)
        {
            takeovers.Add(taken ?? double.PositiveInfinity);
        }

        report.WriteLine($"suspended #{gateway.Number} for {Stopwatch.GetElapsedTime(stopped).TotalSeconds:0.0} s: {held.Count} leases stood, all taken over or ended after {taken?.ToString("0.0", System.Globalization.CultureInfo.InvariantCulture) ?? "never"} s");
    }
}
