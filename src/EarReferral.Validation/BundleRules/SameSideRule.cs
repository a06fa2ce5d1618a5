using Hl7.Fhir.Model;

namespace EarReferral.Validation.BundleRules;

/// <summary>Resources that belong together concern the same ear; what concerns the whole patient fits either.</summary>
internal static class SameSideRule
{
    public static IEnumerable<ValidationIssue> Check(LinkedRecord record) =>
        record.Resources.SelectMany(placed => placed.Resource switch
        {
            Observation observation => Linked(placed, record, observation.PartOf, "procedure it is part of")
                .Concat(Linked(placed, record, observation.HasMember.Concat(observation.DerivedFrom), "finding it rests on")),
            Condition condition => Linked(placed, record, condition.Evidence.SelectMany(evidence => evidence.Detail), "evidence it rests on"),
            Procedure procedure => Linked(placed, record, procedure.ReasonReference.Concat(procedure.ComplicationDetail), "reason or complication"),
            ServiceRequest request => Reasons(placed, record, request),
            _ => [],
        });

    private static IEnumerable<ValidationIssue> Linked(PlacedResource placed, LinkedRecord record, IEnumerable<ResourceReference> references, string what) =>
        record.Targets(references)
            .Where(target => EarSide.Disagree(placed.Resource, target.Resource))
            .Take(1)
            .Select(_ => Issue($"{placed.Place}.bodySite", $"The ear is another one than that of the {what}."));

    // Both ways: a side that is asked for has a reason on that side, and a reason on a side makes the referral name that side.
    private static IEnumerable<ValidationIssue> Reasons(PlacedResource placed, LinkedRecord record, ServiceRequest request)
    {
        var asked = EarSide.Of(request);
        var reasons = record.Targets(request.ReasonReference).ToList();
        if (request.ReasonReference.Count == 0)
        {
            yield break;
        }

        var sided = reasons.SelectMany(reason => EarSide.Of(reason.Resource)).ToHashSet(StringComparer.Ordinal);
        var wholePatient = reasons.Any(reason => EarSide.Of(reason.Resource).Count == 0);
        if (asked.Any(side => !sided.Contains(side)) && !wholePatient)
        {
            yield return Issue($"{placed.Place}.bodySite", "The referral names an ear that none of its reasons concerns.");
        }

        if (sided.Any(side => !asked.Contains(side)))
        {
            yield return Issue(placed.Place, "A reason concerns an ear that the referral does not name.");
        }
    }

    private static ValidationIssue Issue(string location, string text) => new(IssueSeverity.Error, "business-rule", location, "bundle-side", text);
}
