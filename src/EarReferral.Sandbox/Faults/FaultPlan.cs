namespace EarReferral.Sandbox.Faults;

/// <summary>A fault as it is posted to <c>/sandbox/faults</c>; unless told otherwise it strikes transactions only, so that a sender can still search.</summary>
internal sealed record FaultPlan
{
    public FaultMode Mode { get; init; }

    /// <summary>HTTP status, 400 to 599.</summary>
    public int Status { get; init; } = 503;

    /// <summary>Seconds asked for in <c>Retry-After</c>.</summary>
    public int RetryAfterSeconds { get; init; } = 1;

    /// <summary>Wait in milliseconds, for <see cref="FaultMode.Slow"/> and <see cref="FaultMode.Late"/>.</summary>
    public int DelayMs { get; init; } = 1000;

    /// <summary>How many requests it strikes; null for all until the next plan.</summary>
    public int? Times { get; init; }

    /// <summary>Share of requests it strikes, 0 to 1.</summary>
    public double Rate { get; init; } = 1;

    /// <summary>True to strike searches as well.</summary>
    public bool Searches { get; init; }

    /// <summary>Seed of the choice, so that a run can be repeated.</summary>
    public int Seed { get; init; }

    public IEnumerable<string> Problems()
    {
        if (Status is < 400 or > 599)
        {
            yield return "status is 400 to 599.";
        }

        if (RetryAfterSeconds < 0 || DelayMs < 0 || Times < 0)
        {
            yield return "retryAfterSeconds, delayMs and times are not negative.";
        }

        if (Rate is not (>= 0 and <= 1))
        {
            yield return "rate is 0 to 1.";
        }
    }
}
