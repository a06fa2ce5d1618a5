using System.Collections.Concurrent;

namespace EarReferral.Delivery.Alarms;

/// <summary>When each loop of this process last went round; a loop that hangs or ended stops the heartbeat.</summary>
public sealed class Pulse(TimeProvider clock)
{
    private readonly ConcurrentDictionary<string, Loop> loops = new(StringComparer.Ordinal);

    /// <summary>Says that a loop exists and how long one round of it may take at most.</summary>
    public void Expect(string loop, TimeSpan longest) => loops[loop] = new Loop(longest, clock.GetUtcNow());

    /// <summary>Says that a loop goes round.</summary>
    public void Beat(string loop)
    {
        if (loops.TryGetValue(loop, out var known))
        {
            loops[loop] = known with { Last = clock.GetUtcNow() };
        }
    }

    /// <summary>Loops that are silent for longer than a round may take.</summary>
    public IReadOnlyList<string> Silent() =>
        [.. loops.Where(loop => clock.GetUtcNow() - loop.Value.Last > loop.Value.Longest).Select(loop => loop.Key).Order(StringComparer.Ordinal)];

    private sealed record Loop(TimeSpan Longest, DateTimeOffset Last);
}
