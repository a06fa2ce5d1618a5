using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Narrative;
using EarReferral.Mapping.Record;
using EarReferral.Mapping.Referral;
using EarReferral.Triage.Decisions;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Summary;

/// <summary>The summary for the GP practice; what the reader must do stands on the first lines.</summary>
public static class SummaryMapper
{
    /// <summary>Maps the summary of one encounter.</summary>
    /// <param name="encounter">The encounter.</param>
    /// <param name="record">Its record resources.</param>
    /// <param name="decision">What the rules decided.</param>
    /// <param name="referral">The referral, where one is made.</param>
    /// <param name="identity">Identities kept for the encounter.</param>
    public static Composition Map(ClinicEncounter encounter, EncounterRecord record, TriageDecision decision, ReferralResources? referral, EncounterIdentity identity)
    {
        var composition = ResourceStamp.Stamp(new Composition(), identity.Resource("composition"), "ear-composition");
        composition.Identifier = ResourceStamp.Own(composition);
        composition.Language = record.Language;
        composition.Status = encounter.Status switch
        {
            Encounters.EncounterStatus.Finished => CompositionStatus.Final,
            Encounters.EncounterStatus.InProgress => CompositionStatus.Preliminary,
        };
        composition.Type = Loinc.EpisodeSummary.Concept("Ear care summary");
        composition.Subject = ResourceStamp.To(record.Patient);
        composition.Encounter = ResourceStamp.To(record.Encounter);
        composition.Date = ResourceStamp.Iso(encounter.EvaluationInstant);
        composition.Author = [ResourceStamp.To(record.Role)];
        composition.Title = $"Ear care summary, {encounter.Clinic.Name}";
        composition.Confidentiality = Composition.V3ConfidentialityClassification.N;
        composition.Custodian = ResourceStamp.To(record.Clinic);
        var first = FirstLines(encounter, decision, referral);
        composition.Section =
        [
            SummarySections.Of("Action and urgency", first, referral is null ? [] : [referral.Request, referral.Task, .. referral.Conditions], record.Language),
            .. encounter.Ears.OrderBy(ear => ear.Side).Select(ear => SummarySections.Ear(ear, record)),
            SummarySections.Patient(encounter, record),
            SummarySections.Advice(encounter, record, referral),
            SummarySections.Unknown(record, decision),
        ];
        composition.Text = new Xhtml(record.Language).Strong(composition.Title).List(first).Generated();
        return composition;
    }

    private static List<string> FirstLines(ClinicEncounter encounter, TriageDecision decision, ReferralResources? referral)
    {
        var forGp = decision.Fired.Where(rule => rule.Destination == "gp").ToList();
        var needed = forGp.Count > 0 || encounter.FollowUp?.Kind is FollowUpKind.GpReview;
        var urgency = Urgency.Of(encounter, decision);
        List<string> lines =
        [
            needed ? "Action for the GP practice: needed" : "Action for the GP practice: none",
            .. forGp.Select(rule => $"To do: {ReferralMapper.Sentence(rule)} Time limit: {rule.TimeLimit}."),
            $"Urgency: {Words.Of(urgency.Tier)}",
            urgency.Due is { } due ? $"Deadline: {Words.Instant(due)}" : "Deadline: none",
            .. decision.Fired.Select(rule => $"Reason: {ReferralMapper.Sentence(rule)}"),
        ];
        lines.AddRange(ReferralNotes.Choice(encounter, decision));
        lines.AddRange(decision.Suppressed.Select(rule => $"Investigated before and unchanged: {ReferralMapper.Sentence(rule)}"));
        if (decision.Fired.Count == 0)
        {
            lines.Add("Reason: no red-flag rule fired.");
        }

        if (!decision.IsTriaged)
        {
            lines.Add("Urgency is not settled: emergency or immediate reasons could not be excluded, see the open questions.");
        }

        lines.Add(referral is null
            ? "Referral by the clinic: none."
            : $"Referral by the clinic: prepared for {referral.Destination.Name}; this summary does not say that it has arrived.");
        return lines;
    }
}
