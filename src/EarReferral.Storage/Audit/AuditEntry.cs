namespace EarReferral.Storage.Audit;

/// <summary>What was done, named so that an AuditEvent can be made of it.</summary>
public enum AuditAction
{
    Create,
    Read,
    VersionRead,
    History,
    Search,
    Update,
    Send,
    Receive,
    Hold,
    Release,
    Override,
    Export,
    Refuse,
    Deny,
    IssueToken,
    Operation,

    /// <summary>Somebody gave a paper, or told its content, and wrote that down.</summary>
    HandOver,
}

/// <summary>Outcome codes of R4 AuditEvent.outcome: 0, 4, 8, 12.</summary>
public enum AuditResult
{
    Success = 0,
    MinorFailure = 4,
    SeriousFailure = 8,
    MajorFailure = 12,
}

/// <summary>Who did what to which record. Ids only: no patient's name, no findings.</summary>
/// <param name="At">When.</param>
/// <param name="Action">What was done.</param>
/// <param name="Result">How it ended.</param>
/// <param name="Actor">Client id, or the name of the part of the gateway that acted.</param>
/// <param name="ClinicId">Clinic whose data it was; empty when no clinic's.</param>
/// <param name="PracticeOds">GP practice whose patient it was.</param>
/// <param name="PatientKey">Patient, one entry per patient.</param>
/// <param name="ResourceType">Type of the record.</param>
/// <param name="ResourceId">Id of the record.</param>
/// <param name="RequestId">Id of the request, so that one request's entries are found together.</param>
/// <param name="Purpose">Why, where no boundary applied or one was overridden.</param>
/// <param name="Query">Raw query of a search, for AuditEvent.entity.query.</param>
public sealed record AuditEntry(
    DateTimeOffset At,
    AuditAction Action,
    AuditResult Result,
    string Actor,
    string ClinicId,
    string? PracticeOds = null,
    Guid? PatientKey = null,
    string? ResourceType = null,
    string? ResourceId = null,
    string? RequestId = null,
    string? Purpose = null,
    ReadOnlyMemory<byte>? Query = null)
{
    /// <summary>Purpose of a read by the clinic that recorded it, or by whoever runs the gateway: nobody outside learnt of it.</summary>
    public const string OwnRecord = "own record";

    /// <summary>Id of the access token that was used, for AuditEvent.agent.policy; null where none was.</summary>
    public string? TokenId { get; init; }
}
