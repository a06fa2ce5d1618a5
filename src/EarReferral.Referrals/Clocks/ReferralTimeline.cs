namespace EarReferral.Referrals.Clocks;

/// <summary>When the things happened that start and stop clocks; null for what has not happened.</summary>
/// <param name="DecidedAt">Instant of the clinical decision; the first four limits count from here, however late the sending was.</param>
/// <param name="DeliveredAt">Verified delivery.</param>
/// <param name="AcknowledgedAt">First received, accepted or rejected.</param>
/// <param name="TriagedAt">First accepted, rejected or question back.</param>
/// <param name="AcceptedAt">Accepted.</param>
/// <param name="BookedAt">When the visit was booked.</param>
/// <param name="VisitAt">Date and time of the visit.</param>
/// <param name="OutcomeAt">Completed with output, or did not attend.</param>
/// <param name="QuestionAt">The newest question of the ENT system.</param>
/// <param name="ReplyAt">The clinic's newest reply.</param>
public sealed record ReferralTimeline(
    DateTimeOffset DecidedAt,
    DateTimeOffset? DeliveredAt = null,
    DateTimeOffset? AcknowledgedAt = null,
    DateTimeOffset? TriagedAt = null,
    DateTimeOffset? AcceptedAt = null,
    DateTimeOffset? BookedAt = null,
    DateTimeOffset? VisitAt = null,
    DateTimeOffset? OutcomeAt = null,
    DateTimeOffset? QuestionAt = null,
    DateTimeOffset? ReplyAt = null);
