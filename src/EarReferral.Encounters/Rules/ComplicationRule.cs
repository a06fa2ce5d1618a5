using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>A complication that is denied has no duration and no date.</summary>
internal static class ComplicationRule
{
    public static IEnumerable<EncounterProblem> Check(RuleSubject subject)
    {
        if (subject.Encounter.Complications is { Vertigo: ProcedureVertigo.None, VertigoMinutes: > 0 })
        {
            yield return RuleProblems.VertigoMinutes.At("/complications/vertigoMinutes");
        }

        foreach (var (ear, pointer) in subject.Ears)
        {
            if (ear.Complications is { TinnitusNewOrLouder: Answer.No, TinnitusSince: not null })
            {
                yield return RuleProblems.TinnitusSince.At($"{pointer}/complications/tinnitusSince");
            }
        }
    }
}
