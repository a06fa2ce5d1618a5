using EarReferral.Encounters.Reading;
using EarReferral.Encounters.Screening;

namespace EarReferral.Encounters.Rules;

/// <summary>A screen is one that is known, and what it denies is not recorded as there.</summary>
internal static class ScreeningRule
{
    public static IEnumerable<EncounterProblem> Check(RuleSubject subject)
    {
        if (subject.Encounter.Screening is not { } screening)
        {
            yield break;
        }

        if (screening.Version != MinimumScreen.Version)
        {
            yield return RuleProblems.ScreenVersion.At("/screening/version");
            yield break;
        }

        if (MinimumScreen.Contradicted(subject.Encounter).Any())
        {
            yield return RuleProblems.ScreenContradicted.At("/screening/except");
        }
    }
}
