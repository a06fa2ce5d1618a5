using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Record;
using EarReferral.Triage.Decisions;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Referral;

/// <summary>The red flags of one ear, or of the whole patient, as one provisional condition; a rule suspects and never diagnoses.</summary>
public static class ConditionMapper
{
    /// <summary>What stays in the record, coded, of rules that were answered so that no order stands for them; for an encounter without a referral.</summary>
    /// <param name="encounter">The encounter.</param>
    /// <param name="record">Its record resources.</param>
    /// <param name="decision">What the rules decided.</param>
    /// <param name="identity">Identities kept for the encounter.</param>
    public static IReadOnlyList<Condition> OfSettled(ClinicEncounter encounter, EncounterRecord record, TriageDecision decision, EncounterIdentity identity) =>
        OfSides([], encounter, record, decision, identity);

    /// <summary>One condition per side: the rules that decide, and those that were answered so that no order stands for them.</summary>
    internal static IReadOnlyList<Condition> OfSides(
        IReadOnlyList<FiredRule> deciding, ClinicEncounter encounter, EncounterRecord record, TriageDecision decision, EncounterIdentity identity)
    {
        var settled = RuleAnswers.Of(encounter, decision).Where(answer => answer.Settles).ToList();
        return
        [
            .. deciding.Concat(settled.Select(answer => answer.Rule)).GroupBy(rule => rule.Side)
                .Select(rules => Map([.. rules], [.. settled.Where(answer => answer.Rule.Side == rules.Key)], encounter, record, identity)),
        ];
    }

    /// <param name="rules">The rules of the most urgent tier that fired for the same side, and the settled ones; at least one.</param>
    /// <param name="settled">Answers to those of them for which no order stands.</param>
    /// <param name="encounter">The encounter.</param>
    /// <param name="record">Its record resources.</param>
    /// <param name="identity">Identities kept for the encounter.</param>
    private static Condition Map(IReadOnlyList<FiredRule> rules, IReadOnlyList<RuleAnswer> settled, ClinicEncounter encounter, EncounterRecord record, EncounterIdentity identity)
    {
        EarSide? side = rules[0].Side is { } ear ? ReferralMapper.Side(ear) : null;
        var condition = ResourceStamp.Stamp(
            new Condition(),
            identity.Resource($"condition/{(side is { } known ? ResourceStamp.Key(known) : "patient")}"),
            "ear-condition");
        condition.Identifier = [ResourceStamp.Own(condition)];
        condition.ClinicalStatus = Hl7Codes.ConditionActive.Concept();
        condition.VerificationStatus = (rules.Any(rule => rule.Strength is RuleStrength.Must) ? Hl7Codes.Provisional : Hl7Codes.Unconfirmed).Concept();
        condition.Category = [Hl7Codes.EncounterDiagnosis.Concept()];
        condition.Code = new CodeableConcept
        {
            Coding = [.. side is null ? [] : new[] { Snomed.EarProblem.Coding() }, .. rules.Select(rule => new Coding(CodeSystems.Rule, rule.Id, rule.Title))],
            Text = string.Join("; ", rules.Select(rule => rule.Title)),
        };
        condition.BodySite = side is { } site ? [BodySites.Of(site)] : [];
        condition.Subject = ResourceStamp.To(record.Patient);
        condition.Encounter = ResourceStamp.To(record.Encounter);
        condition.RecordedDate = ResourceStamp.Iso(encounter.EvaluationInstant);
        condition.Recorder = ResourceStamp.To(record.Role);
        var evidence = rules.SelectMany(rule => RuleEvidence.Of(rule, record)).DistinctBy(observation => observation.Id).Select(ResourceStamp.To).ToList();
        condition.Evidence = evidence.Count == 0 ? [] : [new Condition.EvidenceComponent { Detail = evidence }];
        condition.Note = [.. rules.Select(rule => new Annotation { Text = $"{RuleEvidence.Sentence(rule, record)} {(rule.IsOwnRule ? "Basis" : "Source")}: {RuleEvidence.Source(rule)}" }), .. settled.Select(answer => new Annotation { Text = AnswerWords.ForClinician(answer) })];
        return condition;
    }
}
