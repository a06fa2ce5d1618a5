namespace EarReferral.Storage.Referrals;

/// <summary>How far the sending of a referral is. Delivered says the receiver stored it, not that anyone there read it.</summary>
public enum ReferralState
{
    /// <summary>Kept back until someone releases it.</summary>
    Held,

    /// <summary>Waits for an attempt, the first or another.</summary>
    Queued,

    /// <summary>The receiver confirmed that it stored the referral.</summary>
    Delivered,

    /// <summary>Sending stopped; a person must act.</summary>
    NeedsHuman,

    /// <summary>A correction took it back before anything was sent; nobody outside has it.</summary>
    Withdrawn,

    /// <summary>A correction took it back after it was sent or may have been; a person must tell the receiver.</summary>
    WithdrawnAfterSending,

    /// <summary>A named clinician closed it with a reason; nothing is sent and nobody is asked to act.</summary>
    Closed,
}

/// <summary>A referral and where it stands.</summary>
/// <param name="TaskStatus">Status of the FHIR Task as last applied.</param>
/// <param name="BusinessStatus">Business status of the Task as last applied.</param>
/// <param name="Locations">JSON of the places the receiver named, once delivered.</param>
/// <param name="EvaluatedAt">Decision instant; the delivery clock runs from it, also when the post came late.</param>
/// <param name="ReplacedBy">Referral of a later visit that takes its place; null while it stands alone.</param>
public sealed record StoredReferral(
    string ReferralId,
    string TaskId,
    Guid EncounterKey,
    Guid PatientKey,
    string ClinicId,
    string? PracticeOds,
    string Destination,
    string Tier,
    int PriorityLane,
    DateTimeOffset? Due,
    ReferralState State,
    string TaskStatus,
    string? BusinessStatus,
    ReadOnlyMemory<byte> Request,
    string RequestSha256,
    string IdempotencyKey,
    string CorrelationId,
    string? Locations,
    DateTimeOffset CreatedAt,
    DateTimeOffset EvaluatedAt,
    DateTimeOffset ChangedAt,
    string? ReplacedBy = null)
{
    /// <summary>Whether the patient objects to the receiver getting it.</summary>
    public ReferralObjection Objection { get; init; }
}

/// <summary>One line of a referral's timeline.</summary>
/// <param name="At">When it happened.</param>
/// <param name="Kind">Stable word, such as <c>queued</c>, <c>delivered</c>, <c>task-updated</c>.</param>
/// <param name="Actor">Client id, or the part of the gateway that acted.</param>
/// <param name="TaskStatus">Status of the Task after the event, where it changed.</param>
/// <param name="BusinessStatus">Business status of the Task after the event, where it changed.</param>
/// <param name="Detail">A sentence for the worklist; no patient data.</param>
public sealed record ReferralEvent(
    DateTimeOffset At,
    string Kind,
    string Actor,
    string? TaskStatus = null,
    string? BusinessStatus = null,
    string? Detail = null);

/// <summary>An update that was received and not applied.</summary>
/// <param name="Source">Client that sent it.</param>
/// <param name="TaskId">Task it named, where it could be read.</param>
/// <param name="Reason">Stable word, such as <c>unknown-task</c>, <c>illegal-transition</c>, <c>stale</c>.</param>
/// <param name="Body">The bytes as received.</param>
public sealed record QuarantinedUpdate(DateTimeOffset At, string Source, string? TaskId, string Reason, ReadOnlyMemory<byte> Body);

/// <summary>What became of a Task update.</summary>
public abstract record TaskUpdateOutcome
{
    private TaskUpdateOutcome()
    {
    }

    /// <summary>Stored: Task version, state, timeline and audit together.</summary>
    public sealed record Applied(int Version) : TaskUpdateOutcome;

    /// <summary>Someone else changed the Task first.</summary>
    public sealed record Stale(int CurrentVersion) : TaskUpdateOutcome;

    /// <summary>No such Task within reach.</summary>
    public sealed record NotFound : TaskUpdateOutcome;
}
