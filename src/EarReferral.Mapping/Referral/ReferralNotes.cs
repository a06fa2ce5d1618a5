using EarReferral.Encounters;
using EarReferral.Encounters.Findings;
using EarReferral.Mapping.Narrative;
using EarReferral.Mapping.Record;
using EarReferral.Triage.Decisions;

namespace EarReferral.Mapping.Referral;

/// <summary>What a referral says in words, because some receivers show nothing else.</summary>
internal static class ReferralNotes
{
    public static IEnumerable<string> Lines(ClinicEncounter encounter, EncounterRecord record, TriageDecision decision, IReadOnlyList<FiredRule> fired, Tier tier, DateTimeOffset due, ReferralDestination destination)
    {
        foreach (var line in Objections(encounter).Concat(Unsettled.Lines(decision)))
        {
            yield return line;
        }

        foreach (var answer in RuleAnswers.Of(encounter, decision))
        {
            yield return AnswerWords.ForClinician(answer);
        }

        if (RuleDestination.Copy(fired, destination.Kind, destination.Name) is { } copy)
        {
            yield return copy;
        }

        yield return $"Urgency: {Words.Of(tier)}.";
        yield return $"Deadline: {Words.Instant(due)}.";
        var unphoned = RuleAnswers.Unphoned(encounter, decision);
        foreach (var rule in fired)
        {
            // Once the call is made and written down above, nobody is to be asked for it again.
            var action = unphoned.Contains(rule, ReferenceEqualityComparer.Instance) ? $" {RuleDestination.Action(rule, encounter)}" : string.Empty;
            yield return $"Reason ({rule.Id}): {RuleEvidence.Sentence(rule, record)}{action} "
                + $"Time limit: {rule.TimeLimit}, by {Words.Instant(rule.Due)}. {Basis(rule)}: {RuleEvidence.Source(rule)}";
        }

        foreach (var line in Choice(encounter, decision))
        {
            yield return line;
        }

        foreach (var rule in decision.Suppressed)
        {
            yield return $"Investigated before and unchanged, so no reason by itself ({rule.Id}): {RuleEvidence.Sentence(rule, record)}";
        }

        foreach (var question in decision.Questions)
        {
            yield return $"Not asked, so not excluded: {question.Text}";
        }

        foreach (var line in ContactAdvice.Lines(encounter.Reaching))
        {
            yield return line;
        }

        yield return encounter.Medicines.Count == 0 ? "Medicines: not recorded." : $"Medicines: {string.Join("; ", encounter.Medicines)}.";
        yield return $"Anticoagulant: {Word(encounter.Background?.Anticoagulant)}.";
        yield return encounter.Allergies.Count == 0 ? "Allergies: not recorded." : $"Allergies: {string.Join("; ", encounter.Allergies)}.";
        if (encounter.Expectation is { } hope)
        {
            yield return $"The patient hopes for: {hope}";
        }
    }

    /// <summary>A guideline is never claimed for a rule that has none.</summary>
    private static string Basis(FiredRule rule) => (rule.IsOwnRule, rule.Strength) switch
    {
        (true, _) => "Basis",
        (false, RuleStrength.Must) => "The source says to refer. Source",
        (false, RuleStrength.Consider) => "The source says to consider referring. Source",
    };

    /// <summary>What the clinician decided in place of the rules, and whether it counts.</summary>
    public static IEnumerable<string> Choice(ClinicEncounter encounter, TriageDecision decision)
    {
        if (encounter.TierOverride is not { } chosen)
        {
            yield break;
        }

        var effect = Urgency.Of(encounter, decision).Choice switch
        {
            ClinicianChoice.None => "as the rules say",
            ClinicianChoice.Raised => "more urgent than the rules",
            ClinicianChoice.Lowered => "less urgent than the rules",
            ClinicianChoice.LoweringNotConfirmed => "less urgent than the rules, not applied because the second confirmation is missing",
        };
        yield return $"Clinician's own tier: {Naming.Code(chosen.Tier).ToUpperInvariant()} ({effect}; the rules say {decision.Tier}), by {chosen.Person}, {Words.Instant(chosen.At)}"
            + (chosen.ConfirmedBy is { } second ? $", confirmed by {second}" : string.Empty)
            + $". Reason: {chosen.Reason}";
    }

    /// <summary>What the patient does not want shared; the reader must see it before anything else.</summary>
    public static IEnumerable<string> Objections(ClinicEncounter encounter)
    {
        if (encounter.Consent.SharingWithEnt is Answer.No)
        {
            yield return "The patient objects to sharing with ENT.";
        }

        if (encounter.Consent.SharingWithGp is Answer.No)
        {
            yield return "The patient objects to sharing with the GP practice.";
        }
    }

    public static string Word(Answer? answer) => answer is { } given ? given switch
    {
        Answer.Yes => "yes",
        Answer.No => "no",
        Answer.NotAsked => "not asked",
    } : "not asked";
}
