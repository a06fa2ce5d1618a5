namespace EarReferral.Referrals.Clocks;

/// <summary>What a clock shows at an instant.</summary>
public enum ClockState
{
    /// <summary>What starts it has not happened.</summary>
    NotStarted,

    /// <summary>Running, time is left.</summary>
    Running,

    /// <summary>Run out and not stopped: somebody must act.</summary>
    Expired,

    /// <summary>Stopped in time.</summary>
    Stopped,

    /// <summary>Stopped after it had run out; kept apart so that a late answer does not hide a missed limit.</summary>
    StoppedLate,
}

/// <summary>One clock of one referral.</summary>
/// <param name="Clock">Which clock.</param>
/// <param name="State">What it shows.</param>
/// <param name="StartedAt">When it started; null while it has not.</param>
/// <param name="ExpiresAt">When it runs out or ran out; null while it has not started.</param>
/// <param name="StoppedAt">When it stopped; null while it has not.</param>
public sealed record ClockReading(ReferralClock Clock, ClockState State, DateTimeOffset? StartedAt, DateTimeOffset? ExpiresAt, DateTimeOffset? StoppedAt);
