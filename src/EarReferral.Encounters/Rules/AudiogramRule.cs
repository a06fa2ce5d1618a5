using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>Each threshold says one thing once.</summary>
internal static class AudiogramRule
{
    public static IEnumerable<EncounterProblem> Check(RuleSubject subject) => subject.Ears
        .Where(at => at.Ear.Audiogram is not null)
        .SelectMany(at => new[] { (at.Ear.Audiogram!.Thresholds, $"{at.Pointer}/audiogram/thresholds"), (at.Ear.Audiogram.EarlierThresholds, $"{at.Pointer}/audiogram/earlierThresholds") })
        .SelectMany(list => Thresholds(list.Item1, list.Item2));

    private static IEnumerable<EncounterProblem> Thresholds(IReadOnlyList<Threshold> thresholds, string pointer)
    {
        var known = new HashSet<(int, Conduction, bool)>();
        for (var i = 0; i < thresholds.Count; i++)
        {
            var threshold = thresholds[i];
            if (!known.Add((threshold.FrequencyHz, threshold.Conduction, threshold.Masked)))
            {
                yield return RuleProblems.ThresholdTwice.At($"{pointer}/{i}");
            }

            if (threshold.DecibelsHearingLevel is null && !threshold.NoResponse)
            {
                yield return RuleProblems.ThresholdEmpty.At($"{pointer}/{i}");
            }

            if (threshold.DecibelsHearingLevel is not null && threshold.NoResponse)
            {
                yield return RuleProblems.ThresholdBoth.At($"{pointer}/{i}/noResponse");
            }
        }
    }
}
