using System.Globalization;
using System.Security.Cryptography;
using System.Text.Json;
using EarReferral.Delivery;
using EarReferral.Encounters;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Fhir;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Record;
using EarReferral.Storage.Audit;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Identity;
using EarReferral.Storage.Referrals;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Intake;

/// <summary>Puts a judgement into what the store keeps; the same at the intake and at a release from quarantine.</summary>
internal sealed class RevisionMaker(IOptions<DeliveryOptions> destinations)
{
    /// <summary>Identities as the mapper takes them.</summary>
    public static EncounterIdentity Identity(IdentitySeeds seeds) => new(seeds.Encounter, seeds.Patient, seeds.Practitioner, seeds.Clinic);

    /// <summary>The revision to store, without what only one of the two ways to it knows.</summary>
    /// <param name="judgement">What was judged.</param>
    /// <param name="document">Bytes as posted.</param>
    /// <param name="seeds">Identities kept for the encounter.</param>
    /// <param name="at">When it becomes a record, or is kept without one.</param>
    /// <param name="late">Whether it came after its deadline.</param>
    /// <param name="receipt">What the clinic gets.</param>
    /// <param name="action">What is written into the audit row.</param>
    /// <param name="requestId">Id of the request.</param>
    /// <param name="decided">What a clinician decided against or beside the rules, for an audit row of its own; null when nothing.</param>
    public EncounterRevision Make(
        Judgement judgement, byte[] document, IdentitySeeds seeds, DateTimeOffset at, bool late, byte[] receipt, AuditAction action, string requestId, string? decided = null)
    {
        var encounter = judgement.Encounter;
        var practice = Practice(judgement);
        var provenance = ProvenanceMapper.Map(
            judgement.Record,
            [.. judgement.Referral?.Resources ?? [], judgement.Summary],
            Convert.ToHexStringLower(SHA256.HashData(document)),
            at,
            encounter.Revision,
            Identity(seeds),
            encounter.Vocabulary);
        return new EncounterRevision(
            seeds.Encounter,
            encounter.Clinic.Id,
            encounter.EncounterId,
            encounter.Revision,
            encounter.ContractVersion,
            encounter.ClinicTimeZone,
            seeds.Patient,
            practice,
            CanonicalJson.Hash(document),
            document,
            at,
            encounter.EvaluationInstant,
            JsonNamingPolicy.CamelCase.ConvertName(judgement.State.ToString()),
            judgement.Urgency.Tier.ToString(),
            late,
            receipt,
            JsonSerializer.SerializeToUtf8Bytes(judgement.Decision, JsonSerializerOptions.Web),
            Link(encounter.Patient),
            // What our own profiles refuse is kept as posted and decided, never served as FHIR.
            judgement.State == ReceiptState.Quarantined ? [] : [.. judgement.Resources, SummaryListing.Of(judgement.Summary), provenance],
            Outgoing(judgement, seeds, practice),
            [
                new AuditEntry(at, action, AuditResult.Success, Callers.Actor, encounter.Clinic.Id, practice, seeds.Patient, "Encounter", judgement.Record.Encounter.Id, requestId),
                .. decided is null
                    ? Array.Empty<AuditEntry>()
                    : [new AuditEntry(at, AuditAction.Override, AuditResult.Success, Callers.Actor, encounter.Clinic.Id, practice, seeds.Patient, "Encounter", judgement.Record.Encounter.Id, requestId, decided)],
            ])
        {
            IsKeptFromReceiver = judgement.IsKeptFromReceiver,
            HistoryBasis = judgement.History.Basis,
            CorrectionOf = (earlier, way) => Corrections.Of(judgement, seeds, earlier, way, at),
        };
    }

    /// <summary>The practice that may read it; null also when the patient objects.</summary>
    public static string? Practice(Judgement judgement) => judgement.IsKeptFromGp ? null : judgement.Encounter.Patient.GpPractice?.OdsCode;

    /// <summary>The referral to send; null when none is asked for.</summary>
    public OutgoingReferral? Outgoing(Judgement judgement, IdentitySeeds seeds, string? practice)
    {
        if (judgement is not { Referral: { } referral, Request: { } request } || judgement.State == ReceiptState.Quarantined)
        {
            return null;
        }

        var tier = judgement.Urgency.Tier;
        return new OutgoingReferral(
            referral.Request.Id!,
            referral.Task.Id!,
            judgement.Destination,
            tier.ToString(),
            Triage.Decisions.Tier.T0 - tier,
            judgement.Urgency.Due,
            seeds.Patient,
            judgement.Encounter.Clinic.Id,
            practice,
            request,
            Convert.ToHexStringLower(SHA256.HashData(request)),
            EncounterIdentity.NameBased(seeds.Encounter, string.Create(CultureInfo.InvariantCulture, $"idempotency/{judgement.Encounter.Revision}")).ToString(),
            EncounterIdentity.NameBased(seeds.Encounter, "correlation").ToString(),
            judgement.Concerns,
            tier == Triage.Decisions.Tier.T3 && destinations.Value.Destinations[judgement.Destination].HoldRoutine);
    }

    internal static PatientLink Link(ClinicPatient patient) => new(
        patient.NhsNumber?.Value.Replace(" ", "", StringComparison.Ordinal),
        patient.NhsNumber?.Verification == NhsNumberVerification.NumberPresentAndVerified,
        patient.BirthDate.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture));
}
