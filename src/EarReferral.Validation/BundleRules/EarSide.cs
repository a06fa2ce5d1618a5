using Hl7.Fhir.Model;

namespace EarReferral.Validation.BundleRules;

/// <summary>Which ears a resource says it concerns, by the SNOMED CT codes of its body sites.</summary>
internal static class EarSide
{
    private const string SnomedCt = "http://snomed.info/sct";
    private const string RightEar = "25577004";
    private const string LeftEar = "89644007";

    /// <summary>Codes of the ears; empty when the resource concerns the whole patient or has no body site.</summary>
    public static IReadOnlyList<string> Of(Resource resource) => resource switch
    {
        Observation observation => Codes(observation.BodySite is { } site ? [site] : []),
        Procedure procedure => Codes(procedure.BodySite),
        Condition condition => Codes(condition.BodySite),
        ServiceRequest request => Codes(request.BodySite),
        _ => [],
    };

    private static List<string> Codes(IEnumerable<CodeableConcept> sites) =>
        [.. sites.SelectMany(site => site.Coding).Where(coding => coding is { System: SnomedCt, Code: RightEar or LeftEar }).Select(coding => coding.Code!).Distinct()];
}
