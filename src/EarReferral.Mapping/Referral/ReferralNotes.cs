using EarReferral.Encounters;
using EarReferral.Encounters.Findings;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Narrative;
using EarReferral.Triage.Decisions;

namespace EarReferral.Mapping.Referral;

/// <summary>What a referral says in words, because some receivers show nothing else.</summary>
internal static class ReferralNotes
{
    public static IEnumerable<string> Lines(ClinicEncounter encounter, TriageDecision decision, IReadOnlyList<FiredRule> fired, DateTimeOffset due)
    {
        yield return $"Urgency: {Words.Of(decision.Tier)}.";
        yield return $"Deadline: {Words.Instant(due)}.";
        foreach (var rule in fired)
        {
            yield return $"Reason ({rule.Id}): {ReferralMapper.Sentence(rule)} Time limit: {rule.TimeLimit}, by {Words.Instant(rule.Due)}. "
                + $"{(rule.Strength is RuleStrength.Must ? "The source says to refer" : "The source says to consider referring")}. Source: {rule.Source}";
        }

        if (encounter.TierOverride is { } chosen)
        {
            yield return $"Clinician's own tier: {Naming.Code(chosen.Tier).ToUpperInvariant()}, by {chosen.Person}, {Words.Instant(chosen.At)}. Reason: {chosen.Reason}";
        }

        foreach (var answer in encounter.RuleResponses)
        {
            yield return $"{answer.RuleId}: {CodeSystems.Words(answer.Kind)}"
                + (answer.HandedTo is { } receiver ? $" to {receiver}" : string.Empty)
                + $", by {answer.Person}, {Words.Instant(answer.At)}. {answer.Reason}";
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

    /// <summary>The sentence that makes the patient the last safety net when a referral is lost.</summary>
    public static string SafetyNet(ClinicEncounter encounter, DateTimeOffset due)
    {
        var clinic = encounter.Clinic.Telephone is { } telephone && encounter.Reaching?.HearsOnTelephone is not Answer.No
            ? $"{encounter.Clinic.Name} on {telephone}"
            : encounter.Clinic.Name;
        return $"If you have heard nothing by {Words.Instant(due)}, contact {clinic}.";
    }

    public static string Word(Answer? answer) => answer is { } given ? given switch
    {
        Answer.Yes => "yes",
        Answer.No => "no",
        Answer.NotAsked => "not asked",
    } : "not asked";
}
