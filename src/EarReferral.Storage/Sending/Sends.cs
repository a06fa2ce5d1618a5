namespace EarReferral.Storage.Sending;

/// <summary>Where a send stands in the outbox.</summary>
public enum SendState
{
    /// <summary>Kept back until someone releases it.</summary>
    Held,

    /// <summary>Waits for an attempt.</summary>
    Waiting,

    /// <summary>The receiver confirmed that it stored it.</summary>
    Delivered,

    /// <summary>A person must act, and may have it sent again.</summary>
    NeedsHuman,

    /// <summary>A correction made these bytes wrong: they are never sent again, whatever an attempt under way still reports.</summary>
    Stopped,
}

/// <summary>Position of a destination's circuit breaker.</summary>
public enum BreakerPosition
{
    /// <summary>Sends go out.</summary>
    Closed,

    /// <summary>No send until the given time; then one worker may probe.</summary>
    Open,

    /// <summary>One worker probes; nobody else sends until the given time.</summary>
    HalfOpen,
}

/// <summary>What all nodes know about a destination's breaker.</summary>
/// <param name="Position">Position.</param>
/// <param name="Until">End of an open or half-open phase.</param>
/// <param name="ConsecutiveFailures">Failures since the last success.</param>
public sealed record BreakerState(BreakerPosition Position, DateTimeOffset? Until, int ConsecutiveFailures);

/// <summary>State of a destination.</summary>
public sealed record DestinationState(string Name, bool Paused, string? PausedBy, BreakerState Breaker)
{
    /// <summary>Since when nothing is sent there.</summary>
    public DateTimeOffset? PausedAt { get; init; }

    /// <summary>How referrals are sent there; null while nobody has verified it.</summary>
    public ExchangeMode? Mode { get; init; }

    /// <summary>True when it promises conditional update, so that a correction can follow a referral electronically.</summary>
    public bool Updates { get; init; }

    /// <summary>When a look at its capability statement last found nothing against it.</summary>
    public DateTimeOffset? VerifiedAt { get; init; }

    /// <summary>What the last look found against it.</summary>
    public string? Problem { get; init; }
}

/// <summary>A send that one worker holds until the lease ends.</summary>
/// <param name="LeaseToken">New for every claim; without it no outcome is recorded.</param>
/// <param name="LeaseUntil">After this another worker may claim it.</param>
/// <param name="EvaluatedAt">Decision instant, from which the delivery clock runs.</param>
/// <param name="AttemptsBefore">Attempts kept so far.</param>
/// <param name="IsProbe">True when this is the one send that tests an open breaker.</param>
public sealed record ClaimedSend(
    string ReferralId,
    string Destination,
    string ClinicId,
    string Tier,
    int PriorityLane,
    DateTimeOffset? Due,
    ReadOnlyMemory<byte> Request,
    string RequestSha256,
    string IdempotencyKey,
    string CorrelationId,
    DateTimeOffset QueuedAt,
    DateTimeOffset EvaluatedAt,
    int AttemptsBefore,
    bool IsProbe,
    Guid LeaseToken,
    DateTimeOffset LeaseUntil)
{
    /// <summary>Revision whose correction this is; null when it is the referral itself.</summary>
    public int? Correction { get; init; }
}

/// <summary>One attempt to send.</summary>
/// <param name="At">When it began.</param>
/// <param name="StatusCode">HTTP status, null when no answer came.</param>
/// <param name="Outcome">Stable word for how it ended, such as <c>accepted</c> or <c>timeout</c>.</param>
/// <param name="Issues">JSON of what the receiver reported.</param>
/// <param name="DurationMilliseconds">How long it took.</param>
public sealed record AttemptRecord(DateTimeOffset At, int? StatusCode, string Outcome, string? Issues, long DurationMilliseconds);

/// <summary>A kept attempt.</summary>
/// <param name="LeaseLost">True when the worker had lost its lease: it did send, and its decision was not taken.</param>
public sealed record StoredAttempt(AttemptRecord Attempt, bool LeaseLost);

/// <summary>What follows from an attempt.</summary>
public abstract record SendDecision
{
    private SendDecision()
    {
    }

    /// <summary>The receiver confirmed that it stored the referral.</summary>
    /// <param name="Locations">JSON of the places the receiver named.</param>
    public sealed record Delivered(string Locations) : SendDecision;

    /// <summary>Try again, not before the given time.</summary>
    public sealed record RetryAt(DateTimeOffset Time) : SendDecision
    {
        /// <summary>How long the receiver may still be storing what this attempt left with it; null when it holds nothing of it.</summary>
        public TimeSpan? Settling { get; init; }
    }

    /// <summary>Stop trying; a person must act.</summary>
    /// <param name="Reason">A sentence for the worklist; no patient data.</param>
    public sealed record NeedsHuman(string Reason) : SendDecision;
}

/// <summary>How much waits, per destination and state.</summary>
/// <param name="Destination">Destination.</param>
/// <param name="State">State.</param>
/// <param name="Count">Number of sends.</param>
/// <param name="OldestQueuedAt">When the oldest of them was queued.</param>
/// <param name="EarliestDue">Earliest clinical deadline among them.</param>
public sealed record OutboxDepth(string Destination, SendState State, int Count, DateTimeOffset OldestQueuedAt, DateTimeOffset? EarliestDue);
