using Hl7.Fhir.Model;

namespace EarReferral.Validation.BundleRules;

/// <summary>Every resource claims exactly one of our profiles; without a claim there is nothing to check it against.</summary>
internal static class ClaimRule
{
    /// <summary>Canonical URL of the profile to judge a resource by, or what is wrong with its claim.</summary>
    public static (string? Profile, ValidationIssue? Issue) Read(Resource resource, string place, ProfileSet profiles)
    {
        if (resource.EnumerateElements().Any(element => element.Key == "contained"))
        {
            return (null, Issue($"{place}.contained[0]", "Contained resources claim no profile, so they could not be checked; send them as entries."));
        }

        var claims = Of(resource).Where(claim => claim.StartsWith(ProfileSet.CanonicalBase + "/", StringComparison.Ordinal)).ToList();
        if (claims is not [var claim])
        {
            return (null, Issue(place, claims.Count == 0 ? "The resource claims none of our profiles, so it could not be checked." : "The resource claims several of our profiles."));
        }

        var (url, version) = claim.Split('|') is [var bare, var given] ? (bare, given) : (claim, null);
        return profiles.Find(url) is { } profile && (version is null || version == profile.Version)
            ? (url, null)
            : (null, Issue($"{place}.meta.profile[0]", "The profile that the resource claims is not known, so it could not be checked."));
    }

    /// <summary>What a resource claims; what is no text claims nothing, and the engine says so.</summary>
    public static IEnumerable<string> Of(Resource resource) =>
        Children(resource, "meta").OfType<Meta>().SelectMany(meta => Children(meta, "profile")).OfType<IEnumerable<Base>>().SelectMany(claims => claims)
            .OfType<PrimitiveType>().Select(claim => claim.JsonValue).OfType<string>();

    // The typed properties throw when what was read did not fit the model.
    private static IEnumerable<object> Children(Base node, string name) => node.EnumerateElements().Where(element => element.Key == name).Select(element => element.Value);

    private static ValidationIssue Issue(string location, string text) => new(IssueSeverity.Error, "incomplete", location, "bundle-claim", text);
}
