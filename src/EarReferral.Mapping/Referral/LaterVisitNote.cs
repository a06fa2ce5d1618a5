using EarReferral.Encounters;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Narrative;
using EarReferral.Mapping.Record;
using EarReferral.Triage.Decisions;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Referral;

/// <summary>Tells the receiver of an open referral that the patient was seen again for the same reason.</summary>
public static class LaterVisitNote
{
    /// <summary>Maps it as a Communication of the open referral's Task; one per revision of the visit.</summary>
    /// <param name="task">Task of the open referral.</param>
    /// <param name="encounter">The later visit.</param>
    /// <param name="record">Its record.</param>
    /// <param name="decision">What the rules decided about it.</param>
    /// <param name="identity">Its identities.</param>
    public static Communication Map(Hl7.Fhir.Model.Task task, ClinicEncounter encounter, EncounterRecord record, TriageDecision decision, EncounterIdentity identity)
    {
        var found = RuleAnswers.Of(encounter, decision).Where(answer => answer.Response.Person == OpenReferralAnswers.Person).Select(answer => RuleEvidence.Sentence(answer.Rule, record));
        var text = $"The patient was seen again on {Words.Instant(encounter.EvaluationInstant)}{(encounter.Revision == 1 ? string.Empty : $" (corrected, revision {encounter.Revision})")}, for the same reason and no more urgent. "
            + $"{string.Join(' ', found)} No second referral was made.";
        return ReplyMapper.Map(task, identity.Resource($"later-visit/{encounter.Revision}"), Name(encounter.Practitioner.Name), text, encounter.EvaluationInstant, "Tells of a later visit; asks nothing.");
    }

    private static string Name(PersonName name) => string.Join(' ', [.. name.Prefix is { } prefix ? [prefix] : Array.Empty<string>(), .. name.Given, name.Family]);
}
