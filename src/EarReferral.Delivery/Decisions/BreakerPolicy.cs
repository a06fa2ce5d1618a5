using EarReferral.Storage.Sending;

namespace EarReferral.Delivery.Decisions;

/// <summary>When a destination as a whole gets a rest. Common practice, no source for the figures.</summary>
internal static class BreakerPolicy
{
    private const int FailuresToOpen = 5;

    // Short, because behind an open breaker an emergency may wait whose delivery clock runs for minutes only.
    private static readonly TimeSpan Rest = TimeSpan.FromSeconds(30);

    /// <summary>The receiver answered, well or badly: it is there. A pause that it asked for meanwhile stays.</summary>
    public static BreakerState AfterAnswer(BreakerState before, DateTimeOffset now) =>
        IsResting(before, now) ? before with { ConsecutiveFailures = 0 } : new BreakerState(BreakerPosition.Closed, null, 0);

    /// <summary>An attempt failed for a reason that is not the referral's.</summary>
    public static BreakerState AfterFailure(BreakerState before, DateTimeOffset now)
    {
        var failures = before.ConsecutiveFailures + 1;
        return failures >= FailuresToOpen ? new BreakerState(BreakerPosition.Open, Later(before, now + Rest), failures)
            : IsResting(before, now) ? before with { ConsecutiveFailures = failures }
            : new BreakerState(BreakerPosition.Closed, null, failures);
    }

    /// <summary>The receiver asked for a pause: nobody sends until then, and it is no failure.</summary>
    public static BreakerState AfterThrottling(BreakerState before, DateTimeOffset until) =>
        new(BreakerPosition.Open, Later(before, until), before.ConsecutiveFailures);

    private static bool IsResting(BreakerState state, DateTimeOffset now) => state.Position is BreakerPosition.Open && state.Until > now;

    private static DateTimeOffset Later(BreakerState before, DateTimeOffset until) =>
        before is { Position: BreakerPosition.Open, Until: { } already } && already > until ? already : until;
}
