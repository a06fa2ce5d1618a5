using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>The drum has quadrants, the canal has walls.</summary>
internal static class LocationRule
{
    public static IEnumerable<EncounterProblem> Check(RuleSubject subject) => subject.Ears.SelectMany(at => Places(at.Ear, at.Pointer)).SelectMany(Place);

    private static IEnumerable<EncounterProblem> Place((EarLocation? At, string Pointer) place)
    {
        if (place.At is { Part: EarPart.OnDrum, Wall: not null })
        {
            yield return RuleProblems.WallOnDrum.At($"{place.Pointer}/wall");
        }

        if (place.At is { Part: EarPart.CanalOuterThird or EarPart.CanalBonyPart or EarPart.AnteriorRecess, Quadrant: not null })
        {
            yield return RuleProblems.QuadrantInCanal.At($"{place.Pointer}/quadrant");
        }
    }

    private static IEnumerable<(EarLocation? At, string Pointer)> Places(EarExamination ear, string pointer) =>
    [
        .. ear.Deposits.Select((deposit, i) => ((EarLocation?)deposit.At, $"{pointer}/deposits/{i}/at")),
        .. ear.Steps.Select((step, i) => (step.At, $"{pointer}/steps/{i}/at")),
        .. (ear.Outcome?.Left ?? []).Select((left, i) => ((EarLocation?)left.At, $"{pointer}/outcome/left/{i}/at")),
        .. Sites(ear.Before, $"{pointer}/before"),
        .. Sites(ear.After, $"{pointer}/after"),
    ];

    private static IEnumerable<(EarLocation? At, string Pointer)> Sites(Otoscopy? otoscopy, string pointer) =>
    [
        .. (otoscopy?.Canal?.Sites ?? []).Select((site, i) => ((EarLocation?)site.At, $"{pointer}/canal/sites/{i}/at")),
        .. (otoscopy?.Drum.Sites ?? []).Select((site, i) => ((EarLocation?)site.At, $"{pointer}/drum/sites/{i}/at")),
    ];
}
