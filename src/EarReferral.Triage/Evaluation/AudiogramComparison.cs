using EarReferral.Triage.Decisions;
using EarReferral.Triage.Rules;
using Hl7.Fhir.Model;

namespace EarReferral.Triage.Evaluation;

/// <summary>Compares pure-tone thresholds by air conduction; a frequency without a number is left out, never guessed.</summary>
internal static class AudiogramComparison
{
    private const string Current = "audiogram-threshold";
    private const string Earlier = "audiogram-threshold-earlier";
    private const string OfEarlierVisit = "derived-audiogram-threshold";

    /// <summary>Frequencies of the asymmetry rule in Hz (NICE NG98, magnetic resonance imaging section).</summary>
    private static readonly int[] AsymmetryFrequencies = [500, 1000, 2000, 4000, 8000];

    /// <summary>
    /// Longest run of neighbouring tested frequencies that are at least 30 dB worse than the earlier audiogram of the same ear
    /// that the clinic gives, else than that of an earlier visit, else than the other ear (AAO-HNSF 2019 sudden hearing loss, definition). Neighbours are at most an octave apart.
    /// </summary>
    public static Integer? WorseRun(RecordIndex index, DecisionSide? side)
    {
        var now = Thresholds(index, Current, side);
        var before = Thresholds(index, Earlier, side) is { Count: > 0 } earlier
            ? earlier
            : Thresholds(index, OfEarlierVisit, side) is { Count: > 0 } derived
            ? derived
            : Thresholds(index, Current, side is DecisionSide.Right ? DecisionSide.Left : DecisionSide.Right);
        var tested = now.Keys.Intersect(before.Keys).Order().ToList();
        if (tested.Count == 0)
        {
            return null;
        }

        var (longest, run, previous) = (0, 0, 0);
        foreach (var frequency in tested)
        {
            var worse = now[frequency] - before[frequency] >= 30;
            run = !worse ? 0 : frequency <= 2 * previous ? run + 1 : 1;
            longest = Math.Max(longest, run);
            previous = frequency;
        }

        return new Integer(longest);
    }

    /// <summary>Whether right and left differ by at least 15 dB at two neighbouring frequencies of the list.</summary>
    public static FhirBoolean? Asymmetry(RecordIndex index)
    {
        var right = Thresholds(index, Current, DecisionSide.Right);
        var left = Thresholds(index, Current, DecisionSide.Left);
        var differs = AsymmetryFrequencies
            .Select(hertz => right.TryGetValue(hertz, out var one) && left.TryGetValue(hertz, out var other) ? Math.Abs(one - other) >= 15 : (bool?)null)
            .ToList();
        var pairs = differs.Zip(differs.Skip(1)).ToList();
        if (pairs.Any(pair => pair is (true, true)))
        {
            return new FhirBoolean(true);
        }

        return pairs.TrueForAll(pair => pair.First is false || pair.Second is false) ? new FhirBoolean(false) : null;
    }

    private static Dictionary<int, decimal> Thresholds(RecordIndex index, string code, DecisionSide? side)
    {
        var thresholds = new Dictionary<int, decimal>();
        var contradictory = new HashSet<int>();
        foreach (var observation in index.Find(code, side))
        {
            if (observation.Value is Quantity { Value: { } decibels } && Conduction(observation) == "air" && Frequency(observation) is { } hertz
                && !thresholds.TryAdd(hertz, decibels) && thresholds[hertz] != decibels)
            {
                contradictory.Add(hertz);
            }
        }

        foreach (var hertz in contradictory)
        {
            thresholds.Remove(hertz);
        }

        return thresholds;
    }

    private static int? Frequency(Observation observation) =>
        Component(observation, "threshold-frequency") is Quantity { Value: { } hertz } ? (int)hertz : null;

    private static string? Conduction(Observation observation) =>
        (Component(observation, "threshold-conduction") as CodeableConcept)?.Coding.Find(coding => coding.System == RuleVocabulary.OwnCodeSystems + "conduction")?.Code;

    private static DataType? Component(Observation observation, string code) =>
        observation.Component.Find(component => component.Code?.Coding.Exists(coding => coding.System == RuleVocabulary.Findings && coding.Code == code) is true)?.Value;
}
