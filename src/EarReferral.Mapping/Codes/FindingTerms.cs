namespace EarReferral.Mapping.Codes;

/// <summary>Findings that a published concept means exactly; every other finding has its local code and words only.</summary>
public static class FindingTerms
{
    private static readonly Dictionary<string, Term> ByFinding = new(StringComparer.Ordinal)
    {
        ["background-immunocompromised"] = Snomed.Immunocompromised,
        ["background-diabetes"] = Snomed.Diabetes,
        ["background-anticoagulant"] = Snomed.Anticoagulant,
        ["vertigo-present"] = Snomed.Vertigo,
        ["tinnitus-present"] = Snomed.Tinnitus,
        ["tinnitus-objective"] = Snomed.ObjectiveTinnitus,
        ["pain-present"] = Snomed.PainOfEar,
        ["discharge-present"] = Snomed.EarDischarge,
        ["foreign-body-present"] = Snomed.ForeignBodyInEar,
        ["canal-blood"] = Snomed.BloodInEarCanal,
        ["canal-outer-ear-infection"] = Snomed.OtitisExterna,
        ["drum-perforation"] = Snomed.PerforatedEardrum,
        ["patient-complications-faint"] = Snomed.Syncope,
    };

    /// <summary>The published concept of a finding, or null.</summary>
    public static Term? Of(string findingCode) => ByFinding.GetValueOrDefault(findingCode);

    /// <summary>Codes of the findings that have one, so that a test can hold them against the catalogue.</summary>
    public static IReadOnlyCollection<string> Findings => ByFinding.Keys;
}
