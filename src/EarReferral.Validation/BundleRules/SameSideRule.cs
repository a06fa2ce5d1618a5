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

    // A finding of the other ear may stand beside the own one, as in a comparison of both; one side alone that is the other side may not.
    private static IEnumerable<ValidationIssue> Linked(PlacedResource placed, LinkedRecord record, IEnumerable<ResourceReference> references, string what)
    {
        var own = EarSide.Of(placed.Resource);
        var sided = record.Targets(references).Select(target => EarSide.Of(target.Resource)).Where(sides => sides.Count > 0).ToList();
        return own.Count > 0 && sided.Count > 0 && !sided.Any(sides => sides.Intersect(own).Any())
            ? [Issue($"{placed.Place}.bodySite", $"The ear is another one than that of the {what}.")]
            : [];
    }

    private static IEnumerable<ValidationIssue> Reasons(PlacedResource placed, LinkedRecord record, ServiceRequest request)
    {
        var reasons = record.Targets(request.ReasonReference).Select(target => (target.Resource, Sides: EarSide.Of(target.Resource))).ToList();
        var asked = EarSide.Of(request);

        // A reason of the whole patient speaks for either ear, so it may send the patient with any.
        if (reasons.Count > 0 && reasons.All(reason => reason.Sides.Count > 0) && asked.Any(side => !reasons.Any(reason => reason.Sides.Contains(side))))
        {
            yield return Issue($"{placed.Place}.bodySite", "The referral names an ear that none of its reasons concerns.");
        }

        if (reasons.Any(reason => reason.Resource is Condition && reason.Sides.Any(side => !asked.Contains(side))))
        {
            yield return Issue(placed.Place, "A problem concerns an ear that the referral does not name.");
        }
    }

    private static ValidationIssue Issue(string location, string text) => new(IssueSeverity.Error, "business-rule", location, "bundle-side", text);
}
