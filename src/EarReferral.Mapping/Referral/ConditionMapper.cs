using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Record;
using EarReferral.Triage.Decisions;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Referral;

/// <summary>A red flag as a provisional condition; a rule suspects and never diagnoses.</summary>
internal static class ConditionMapper
{
    public static Condition Map(FiredRule rule, ClinicEncounter encounter, EncounterRecord record, EncounterIdentity identity)
    {
        EarSide? side = rule.Side is { } ear ? ReferralMapper.Side(ear) : null;
        var condition = ResourceStamp.Stamp(
            new Condition(),
            identity.Resource($"condition/{(side is { } known ? ResourceStamp.Key(known) : "patient")}/{rule.Id}"),
            "ear-condition");
        condition.Identifier = [ResourceStamp.Own(condition)];
        condition.ClinicalStatus = Hl7Codes.ConditionActive.Concept();
        condition.VerificationStatus = (rule.Strength switch
        {
            RuleStrength.Must => Hl7Codes.Provisional,
            RuleStrength.Consider => Hl7Codes.Unconfirmed,
        }).Concept();
        condition.Category = [Hl7Codes.EncounterDiagnosis.Concept()];
        var local = new Coding(CodeSystems.Rule, rule.Id, rule.Title);
        condition.Code = side is null ? new CodeableConcept { Coding = [local], Text = rule.Title } : Snomed.EarProblem.With(local, rule.Title);
        condition.BodySite = side is { } site ? [BodySites.Of(site)] : [];
        condition.Subject = ResourceStamp.To(record.Patient);
        condition.Encounter = ResourceStamp.To(record.Encounter);
        condition.RecordedDate = ResourceStamp.Iso(encounter.EvaluationInstant);
        condition.Recorder = ResourceStamp.To(record.Role);
        var evidence = rule.Inputs.Select(input => input.ObservationId).OfType<string>().Distinct(StringComparer.Ordinal)
            .Select(id => new ResourceReference($"Observation/{id}")).ToList();
        condition.Evidence = evidence.Count == 0 ? [] : [new Condition.EvidenceComponent { Detail = evidence }];
        condition.Note = [new Annotation { Text = $"{rule.Reason} Source: {rule.Source}" }];
        return condition;
    }
}
