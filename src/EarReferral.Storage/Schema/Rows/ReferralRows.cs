using EarReferral.Storage.Referrals;

namespace EarReferral.Storage.Schema.Rows;

internal sealed class ReferralRow : IAddressed
{
    public required string ReferralId { get; init; }

    public required string TaskId { get; init; }

    public required Guid EncounterKey { get; init; }

    public required Guid PatientKey { get; init; }

    public required string ClinicId { get; init; }

    public required string? PracticeOds { get; set; }

    public required string? Destination { get; set; }

    public required string Tier { get; set; }

    public required int Lane { get; set; }

    public required DateTimeOffset? Due { get; set; }

    public required ReferralState State { get; set; }

    public required string TaskStatus { get; set; }

    public required string? BusinessStatus { get; set; }

    public required byte[] Request { get; set; }

    public required string RequestSha256 { get; set; }

    public required string IdempotencyKey { get; set; }

    /// <summary>Revision whose correction the request carries to a receiver that has or may have an earlier one; null while it is the referral itself.</summary>
    public int? Correction { get; set; }

    /// <summary>What it rests on, rule and ear, separated by spaces.</summary>
    public required string Concerns { get; set; }

    /// <summary>Referral of a later visit that takes its place; it stays open until a clinician closes it.</summary>
    public string? ReplacedBy { get; set; }

    /// <summary>Whether the patient objects to this receiver getting it.</summary>
    public ReferralObjection Objection { get; set; }

    public required string CorrelationId { get; init; }

    public required string? Locations { get; set; }

    public required DateTimeOffset CreatedAt { get; init; }

    /// <summary>Decision instant of the revision that stands; the delivery clock runs from it.</summary>
    public required DateTimeOffset EvaluatedAt { get; set; }

    public required DateTimeOffset ChangedAt { get; set; }

    /// <summary>The change that the clinic's software was told of last; null before the first.</summary>
    public DateTimeOffset? ToldOf { get; set; }
}

/// <summary>A visit that is tied to a referral of an earlier one.</summary>
internal sealed class LaterVisitRow
{
    public required Guid EncounterKey { get; init; }

    public required string ReferralId { get; set; }
}

/// <summary>One line of a referral's timeline; written once.</summary>
internal sealed class ReferralEventRow
{
    public long Id { get; init; }

    public required string ReferralId { get; init; }

    public required DateTimeOffset At { get; init; }

    public required string Kind { get; init; }

    public required string Actor { get; init; }

    public required string? TaskStatus { get; init; }

    public required string? BusinessStatus { get; init; }

    public required string? Detail { get; init; }
}

/// <summary>An update that was not applied; kept for review.</summary>
internal sealed class QuarantineRow
{
    public long Id { get; init; }

    public required DateTimeOffset At { get; init; }

    public required string Source { get; init; }

    public required string? TaskId { get; init; }

    public required string Reason { get; init; }

    public required byte[] Body { get; init; }
}
