using Hl7.Fhir.Model;

namespace EarReferral.Validation.BundleRules;

/// <summary>Every reference leads to a resource of the bundle, and to one of a kind that the profile allows there.</summary>
internal static class LinkRule
{
    public static IEnumerable<ValidationIssue> Check(LinkedRecord record, ProfileSet profiles)
    {
        foreach (var (from, placed) in record.References)
        {
            if (placed.Reference.Reference is not { } address)
            {
                if (placed.Reference.Identifier is null)
                {
                    yield return new ValidationIssue(IssueSeverity.Error, "not-found", placed.Location, "bundle-link", "The reference names neither an address nor an identifier.");
                }
            }
            else if (address.StartsWith('#'))
            {
                if (from.Resource is not DomainResource domain || domain.Contained.All(contained => contained.Id != address[1..]))
                {
                    yield return new ValidationIssue(IssueSeverity.Error, "not-found", placed.Location, "bundle-link", "The reference leads to a contained resource that is not there.");
                }
            }
            else if (record.Target(placed.Reference) is not { } target)
            {
                yield return new ValidationIssue(IssueSeverity.Error, "not-found", placed.Location, "bundle-link", "The reference leads to nothing that is sent along.");
            }
            else if (Allowed(from.Resource, placed.ElementPath, profiles) is { Count: > 0 } allowed && !Fits(target.Resource, allowed))
            {
                yield return new ValidationIssue(IssueSeverity.Error, "value", placed.Location, "bundle-target", $"The reference leads to a {target.Resource.TypeName} that the profile does not allow here.");
            }
        }
    }

    private static HashSet<string> Allowed(Resource from, string elementPath, ProfileSet profiles) =>
        [.. ClaimRule.Of(from).SelectMany(claim => profiles.Targets(claim.Split('|')[0], elementPath))];

    private static bool Fits(Resource target, HashSet<string> allowed) =>
        allowed.Contains($"http://hl7.org/fhir/StructureDefinition/{target.TypeName}")
        || allowed.Contains("http://hl7.org/fhir/StructureDefinition/Resource")
        || ClaimRule.Of(target).Any(claim => allowed.Contains(claim.Split('|')[0]));
}
