using EarReferral.Encounters;
using EarReferral.Mapping.Narrative;
using EarReferral.Triage.Decisions;

namespace EarReferral.Mapping.Referral;

/// <summary>What the patient is to be told; it makes the patient the last safety net when a referral is lost.</summary>
/// <remarks>How long a patient waits before asking (4 hours, 2 working days, 2 weeks) is our own proposal and has no source.</remarks>
public static class PatientAdvice
{
    /// <summary>The texts of the rules at the tier that is acted on, and no others: a second, slower promise would contradict the first.</summary>
    public static string Instruction(ClinicEncounter encounter, TriageDecision decision, Urgency urgency)
    {
        var deciding = RuleAnswers.Standing(encounter, decision).Where(rule => rule.Tier == urgency.Tier).ToList();
        var forGp = deciding.Count > 0 && deciding.TrueForAll(rule => RuleDestination.Of(rule) is DestinationKind.Gp) && encounter.Patient.GpPractice is not null;
        return string.Join(' ', deciding.Select(rule => rule.PatientText)
            .Append(forGp ? "Your GP practice is asked to arrange this." : string.Empty)
            .Concat(SafetyNet(encounter, decision, urgency))
            .Where(sentence => sentence.Length > 0)
            .Distinct(StringComparer.Ordinal));
    }

    /// <summary>The same as far as the GP practice may know it: without what the patient declined and keeps from it.</summary>
    internal static string ForGp(ClinicEncounter encounter, TriageDecision decision, Urgency urgency)
    {
        var kept = RuleAnswers.KeptFromGp(encounter, decision).Select(answer => answer.Rule).ToHashSet(ReferenceEqualityComparer.Instance);
        return string.Join(' ', SafetyNet(encounter, decision, urgency, kept));
    }

    /// <summary>By when, whom to ask if nothing is heard, and what to do if it gets worse.</summary>
    public static IEnumerable<string> SafetyNet(ClinicEncounter encounter, TriageDecision decision, Urgency urgency) => SafetyNet(encounter, decision, urgency, []);

    private static IEnumerable<string> SafetyNet(ClinicEncounter encounter, TriageDecision decision, Urgency urgency, HashSet<object?> unsaid)
    {
        var zone = TimeZoneInfo.FindSystemTimeZoneById(encounter.ClinicTimeZone);
        var due = urgency.Due is { } instant ? Words.ForPatient(instant, zone) : null;
        var answers = RuleAnswers.Of(encounter, decision).Where(answer => answer.Counts).ToList();
        foreach (var answer in answers.Where(answer => !unsaid.Contains(answer.Rule)))
        {
            yield return AnswerWords.ForPatient(answer, zone, Contact(encounter));
        }

        if (!decision.IsTriaged && urgency.Tier is not Tier.T0)
        {
            yield return $"Some questions about your visit are still open, and {encounter.Clinic.Name} will contact you today."
                + (urgency.Tier is Tier.T1 ? string.Empty : " If you have not been contacted within 4 hours, go to the emergency department.");
        }

        switch (urgency.Tier)
        {
            case Tier.T0 when answers.Find(answer => answer.WasPhoned && answer.Rule.Tier is Tier.T0) is { } phoned
                && !RuleAnswers.Unphoned(encounter, decision).Any(rule => rule.Tier is Tier.T0):
                yield return $"Go to {phoned.Response.HandedTo} now, as agreed on the telephone; do not drive yourself. You must be seen at the latest by {due}.";
                break;
            case Tier.T0:
                yield return $"{(Phones(encounter) ? "Call 999" : "Ask somebody to call 999")} or go to the emergency department now; do not wait for a call, do not drive yourself.";
                yield return $"You must be seen at the latest by {due}.";
                break;
            case Tier.T1:
                yield return $"You must be seen within 24 hours, by {due}. If you have not been contacted within 4 hours, go to the emergency department.";
                break;
            case Tier.T2 or Tier.T2C:
                yield return $"You should be seen by {due}. If you have heard nothing after 2 working days, {Contact(encounter)}.";
                break;
            case Tier.T3:
                yield return $"If you have heard nothing after 2 weeks, {Contact(encounter)}.";
                break;
            case Tier.T4:
                break;
        }

        yield return $"If it gets worse, do not wait: go to the emergency department, or {(Phones(encounter) ? "call 999" : "ask somebody to call 999")} in an emergency."
            + (urgency.Tier is Tier.T0 or Tier.T1 or Tier.T4 ? $" If you have questions, {Contact(encounter)}." : string.Empty);
    }

    private static bool Phones(ClinicEncounter encounter) => encounter.Reaching?.HearsOnTelephone is not Answer.No;

    private static string Contact(ClinicEncounter encounter) => encounter.Reaching is { HearsOnTelephone: Answer.No } reaching
        ? $"contact {encounter.Clinic.Name} {ContactAdvice.WithoutTelephone(reaching)}"
        : encounter.Clinic.Telephone is { } telephone ? $"call {encounter.Clinic.Name} on {telephone}" : $"contact {encounter.Clinic.Name}";
}
