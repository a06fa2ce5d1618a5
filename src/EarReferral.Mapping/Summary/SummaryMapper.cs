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
    /// <param name="settled">Conditions of <see cref="ConditionMapper.OfSettled"/>, where there is no referral.</param>
    /// <param name="withdrawnFrom">The receiver of a referral that an earlier revision made and this one does not; null when there was none.</param>
    public static Composition Map(
        ClinicEncounter encounter,
        EncounterRecord record,
        TriageDecision decision,
        ReferralResources? referral,
        EncounterIdentity identity,
        IReadOnlyList<Condition>? settled = null,
        string? withdrawnFrom = null)
    {
        var composition = ResourceStamp.Stamp(new Composition(), identity.Resource("composition"), "ear-composition");
        composition.Identifier = ResourceStamp.Own(composition);
        composition.Language = record.Language;
        composition.Status = encounter.Status switch
        {
            // With an emergency or immediate reason not excluded, the summary cannot be the last word.
            // A reader that pulled an earlier revision sees by the status alone that this one says something else.
            Encounters.EncounterStatus.Finished when decision.IsTriaged => encounter.Revision > 1 ? CompositionStatus.Amended : CompositionStatus.Final,
            Encounters.EncounterStatus.Finished => CompositionStatus.Preliminary,
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

        // The coded forms say in notes what the patient keeps from the practice; the words above them say the rest.
        IReadOnlyList<Resource> coded = RuleAnswers.KeptFromGp(encounter, decision).Count > 0 ? []
            : referral is null ? settled ?? []
            : [referral.Request, referral.Task, .. referral.Conditions];
        var first = FirstLines(encounter, record, decision, referral, withdrawnFrom).ToList();
        composition.Section =
        [
            SummarySections.Of("Action and urgency", first, coded, record.Language),
            .. encounter.Ears.OrderBy(ear => ear.Side).Select(ear => SummarySections.Ear(ear, record)),
            SummarySections.Patient(encounter, record),
            .. SummarySections.History(record, decision),
            .. SummarySections.Method(record, decision),
            SummarySections.Advice(encounter, record, decision, referral),
            SummarySections.Unknown(record, decision),
        ];
        composition.Text = new Xhtml(record.Language).Strong(composition.Title).List(first).Generated();
        return composition;
    }

    private static IEnumerable<string> FirstLines(ClinicEncounter encounter, EncounterRecord record, TriageDecision decision, ReferralResources? referral, string? withdrawnFrom)
    {
        var fired = decision.Fired.Where(rule => rule.Tier is not Tier.T4).ToList();
        var answers = RuleAnswers.Of(encounter, decision);
        var kept = RuleAnswers.KeptFromGp(encounter, decision);
        fired.RemoveAll(rule => kept.Any(answer => ReferenceEquals(answer.Rule, rule)));
        var standing = RuleAnswers.Standing(encounter, decision).ToList();
        var urgency = Urgency.Of(encounter, decision);
        var unsettled = Unsettled.Lines(decision).ToList();
        return ReferralNotes.Objections(encounter)
            .Concat(unsettled)
            .Concat(unsettled.Count > 0 ? [Unsettled.Action(decision)] : [])
            .Concat(answers.Where(answer => !kept.Any(other => ReferenceEquals(other.Rule, answer.Rule))).Select(AnswerWords.ForClinician))
            .Concat(Actions(encounter, decision, standing, referral, withdrawnFrom is not null))
            .Concat(unsettled.Count > 0 && urgency.Due is null ? [] : Limits(urgency))
            .Concat(fired.Select(rule => $"Reason: {RuleEvidence.Sentence(rule, record)}"))
            .Concat(ReferralNotes.Choice(encounter, decision))
            .Concat(decision.Suppressed.Select(rule => $"Investigated before and unchanged: {RuleEvidence.Sentence(rule, record)}"))
            .Concat(fired.Count == 0 && kept.Count == 0 && unsettled.Count == 0 ? ["Reason: no red-flag rule fired."] : [])
            .Concat(Status(referral, standing, unsettled.Count > 0, withdrawnFrom));
    }

    /// <summary>Who does what, the GP practice first; every service stands once, with what the most urgent of its rules asks.</summary>
    private static IEnumerable<string> Actions(ClinicEncounter encounter, TriageDecision decision, List<FiredRule> standing, ReferralResources? referral, bool withdrawn)
    {
        var answers = RuleAnswers.Of(encounter, decision);
        var toGp = GpAction.Of(encounter, decision);
        if (toGp.Count > 0)
        {
            yield return $"Action for GP needed: yes. {string.Join(' ', toGp)}";
        }
        else if (decision.IsTriaged)
        {
            yield return $"Action for GP needed: no. {(referral is null && !withdrawn ? "Please file this summary." : referral is null ? "Please file this summary; the clinic settles with the receiver what it withdrew." : "Please file this summary; the clinic follows its referral up.")}";
        }

        var phoned = answers.Where(answer => answer.WasPhoned).Select(answer => answer.Rule).ToHashSet(ReferenceEqualityComparer.Instance);
        foreach (var action in standing.Where(rule => !phoned.Contains(rule)).Where(rule => RuleDestination.Of(rule) is not DestinationKind.Gp || encounter.Patient.GpPractice is null)
            .DistinctBy(RuleDestination.Of).Select(rule => RuleDestination.Action(rule, encounter)))
        {
            yield return action.StartsWith("First by phone", StringComparison.Ordinal) ? $"Action for the clinic: {action}" : $"Other action: {action}";
        }
    }

    private static IEnumerable<string> Limits(Urgency urgency) =>
        [$"Urgency: {Words.Of(urgency.Tier)}", urgency.Due is { } due ? $"Deadline: {Words.Instant(due)}" : "Deadline: none"];

    private static IEnumerable<string> Status(ReferralResources? referral, List<FiredRule> standing, bool unsettled, string? withdrawnFrom)
    {
        if (referral is null)
        {
            if (withdrawnFrom is { } earlier)
            {
                yield return $"Referral by the clinic to {earlier}: withdrawn. Should it have been sent before, this does not call it back: the clinic tells the receiver by phone.";
            }
            else if (!unsettled)
            {
                yield return "Referral by the clinic: none.";
            }

            yield break;
        }

        var name = referral.Destination.Name ?? "the receiver";
        yield return $"Referral by the clinic: prepared for {name}; this summary does not say that it has arrived.";
        if (RuleDestination.Copy(standing, referral.Kind, name) is { } copy)
        {
            yield return copy;
        }
    }
}
