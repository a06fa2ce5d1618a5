using EarReferral.Storage.Audit;
using EarReferral.Storage.Identity;
using EarReferral.Storage.Quarantine;
using EarReferral.Storage.Referrals;
using Hl7.Fhir.Model;

namespace EarReferral.Storage.Encounters;

/// <summary>Everything that one accepted encounter leaves behind; stored as a whole or not at all.</summary>
/// <param name="EncounterKey">Encounter seed of <see cref="IdentitySeeds"/>.</param>
/// <param name="ClinicId">Clinic that sent it.</param>
/// <param name="ClinicEncounterId">The clinic's own number of the encounter.</param>
/// <param name="Revision">1 for the first, then one more each time the clinic corrects it.</param>
/// <param name="ContractVersion">Version of the intake contract.</param>
/// <param name="TimeZone">Time zone of the clinic, IANA name.</param>
/// <param name="PatientKey">Patient seed of <see cref="IdentitySeeds"/>.</param>
/// <param name="PracticeOds">GP practice that may read it: that of the patient at the encounter, where there is one and the patient does not object.</param>
/// <param name="ContentSha256">Hash of the content by which two posts count as the same; lower-case hexadecimal.</param>
/// <param name="Raw">The bytes as received.</param>
/// <param name="ReceivedAt">When the gateway received it.</param>
/// <param name="EvaluatedAt">Decision instant of the triage rules.</param>
/// <param name="State">State of the encounter in words of the gateway, such as <c>triaged</c>.</param>
/// <param name="Tier">Tier of the decision, such as <c>T1</c>.</param>
/// <param name="Late">True when it arrived later after the visit than agreed.</param>
/// <param name="Receipt">The answer that the clinic gets, now and on every repeat.</param>
/// <param name="Decision">The triage decision with its reasons.</param>
/// <param name="NhsNumber">Who the visit says its patient is: NHS number, where sent, and birth date.</param>
/// <param name="Resources">
/// FHIR resources with id; a new version is kept only of those that changed. What an earlier revision carried and this one does
/// not is retired. None at all when the record did not pass our own profiles; then what was stored before stays as it is.
/// </param>
/// <param name="Referral">Referral to send, where the decision asks for one.</param>
/// <param name="Audit">Audit rows of the same transaction.</param>
public sealed record EncounterRevision(
    Guid EncounterKey,
    string ClinicId,
    string ClinicEncounterId,
    int Revision,
    string ContractVersion,
    string TimeZone,
    Guid PatientKey,
    string? PracticeOds,
    string ContentSha256,
    ReadOnlyMemory<byte> Raw,
    DateTimeOffset ReceivedAt,
    DateTimeOffset EvaluatedAt,
    string State,
    string Tier,
    bool Late,
    ReadOnlyMemory<byte> Receipt,
    ReadOnlyMemory<byte> Decision,
    PatientLink? NhsNumber,
    IReadOnlyList<Resource> Resources,
    OutgoingReferral? Referral,
    IReadOnlyList<AuditEntry> Audit)
{
    /// <summary>The patient objects to the receiver getting the referral; it is kept back until a named clinician decides.</summary>
    public bool IsKeptFromReceiver { get; init; }

    /// <summary>True when the revision could be made a record.</summary>
    internal bool HasRecord => Resources.Count > 0 || Retraction is not null;

    /// <summary>
    /// Set when this revision retracts the encounter: where the retraction comes from. The store names in it what it marked as
    /// entered in error, since only the transaction that marks can know.
    /// </summary>
    public Provenance? Retraction { get; init; }

    /// <summary>The earlier visits that it was decided with; null where none were asked for. The store notes what came between that and now.</summary>
    public IReadOnlyCollection<HistoryBasis>? HistoryBasis { get; init; }

    /// <summary>What stood against the record when it came, set when it is kept without one.</summary>
    public RecordCheck? FailedCheck { get; init; }

    /// <summary>The open referral of an earlier visit that this one is tied to; null when there is none.</summary>
    public LaterVisitTie? LaterVisit { get; init; }

    /// <summary>
    /// Writes what a receiver must be sent that has or may have the given request; without it a receiver is told by telephone alone.
    /// </summary>
    public Func<ReadOnlyMemory<byte>, CorrectionWay, Correction>? CorrectionOf { get; init; }

    /// <summary>Writes the receipt once it is known what became of the referral and who has earlier content; without it <see cref="Receipt"/> stands.</summary>
    public Func<EarlierContent, ReadOnlyMemory<byte>>? ReceiptAbout { get; init; }
}
