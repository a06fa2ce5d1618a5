using EarReferral.Storage.Sending;

namespace EarReferral.Storage.Schema.Rows;

/// <summary>The one send that a referral needs.</summary>
internal sealed class OutboxRow
{
    public required string ReferralId { get; init; }

    public ReferralRow? Referral { get; init; }

    public required string Destination { get; set; }

    public required int Lane { get; set; }

    /// <summary>Deadline in Unix milliseconds; the greatest value when there is none, so that it sorts last.</summary>
    public required long Due { get; set; }

    public required SendState State { get; set; }

    public required DateTimeOffset NextAttemptAt { get; set; }

    public Guid? LeaseToken { get; set; }

    public DateTimeOffset? LeaseUntil { get; set; }

    /// <summary>Until then the receiver may still be storing what an attempt left with it; null when no attempt leaves that open.</summary>
    public DateTimeOffset? SettledAt { get; set; }

    public required int Claims { get; set; }

    public string? Reason { get; set; }

    public required DateTimeOffset QueuedAt { get; init; }
}

/// <summary>One attempt to send; kept even when the worker had lost its lease.</summary>
internal sealed class AttemptRow
{
    public long Id { get; init; }

    public required string ReferralId { get; init; }

    public required Guid LeaseToken { get; init; }

    public required DateTimeOffset At { get; init; }

    public required int? StatusCode { get; init; }

    public required string Outcome { get; init; }

    public required string? Issues { get; init; }

    public required long DurationMilliseconds { get; init; }

    public required bool LeaseLost { get; init; }
}

/// <summary>What all nodes know about a receiving system.</summary>
internal sealed class DestinationRow
{
    public required string Name { get; init; }

    public required bool Paused { get; set; }

    public required string? PausedBy { get; set; }

    public required BreakerPosition Breaker { get; set; }

    public required DateTimeOffset? BreakerUntil { get; set; }

    public required int ConsecutiveFailures { get; set; }

    /// <summary>How referrals are sent there, as its capability statement was read; null while nobody has verified it.</summary>
    public ExchangeMode? Mode { get; set; }

    /// <summary>True when its capability statement promises conditional update, by which a correction can be sent after the referral.</summary>
    public bool Updates { get; set; }

    public DateTimeOffset? VerifiedAt { get; set; }

    /// <summary>What stands against it, in words without patient data; null when the last look found nothing.</summary>
    public string? Problem { get; set; }

    public DateTimeOffset? PausedAt { get; set; }

    /// <summary>Counts changes, so that two nodes never overwrite each other's.</summary>
    public required int Change { get; set; }
}

/// <summary>A person or organisation that a destination is known to hold, because an answer proved it.</summary>
internal sealed class KnownResourceRow
{
    public required string Destination { get; init; }

    /// <summary>Type and identifier, as conditional creation names them.</summary>
    public required string Key { get; init; }
}
