using System.Text.RegularExpressions;
using Hl7.Fhir.Model;

namespace EarReferral.Validation.BundleRules;

/// <summary>The bundle is a transaction that can be posted twice and takes effect once.</summary>
internal static partial class TransactionRule
{
    public static IEnumerable<ValidationIssue> Check(Bundle bundle)
    {
        if (bundle.Type != Bundle.BundleType.Transaction)
        {
            yield return new ValidationIssue(IssueSeverity.Error, "value", "Bundle.type", "bundle-transaction", "A referral is sent as a transaction.");
        }

        if (bundle.Entry.Count == 0)
        {
            yield return new ValidationIssue(IssueSeverity.Error, "required", "Bundle", "bundle-transaction", "The bundle is empty.");
        }

        foreach (var issue in bundle.Entry.SelectMany((entry, index) => Check(entry, $"Bundle.entry[{index}]")))
        {
            yield return issue;
        }
    }

    private static IEnumerable<ValidationIssue> Check(Bundle.EntryComponent entry, string place)
    {
        if (entry.FullUrl is null || !UrnUuid().IsMatch(entry.FullUrl))
        {
            yield return new ValidationIssue(IssueSeverity.Error, "value", place, "bundle-fullurl", "fullUrl is urn:uuid: and a UUID in lower case.");
        }

        if (entry.Resource is not { } resource)
        {
            yield return new ValidationIssue(IssueSeverity.Error, "required", place, "bundle-transaction", "The entry has no resource.");
            yield break;
        }

        // A missing request is base rule bdl-3.
        if (entry.Request is not { } request)
        {
            yield break;
        }

        if (request.Method != Bundle.HTTPVerb.POST || request.Url != resource.TypeName)
        {
            yield return new ValidationIssue(IssueSeverity.Error, "value", $"{place}.request", "bundle-request", $"The entry is not a POST to {resource.TypeName}.");
        }

        // Provenance has no identifier in R4, so nothing can make its create conditional.
        if (resource is not Provenance && (request.IfNoneExist is null || !OwnIdentifiers(resource).Contains(Uri.UnescapeDataString(request.IfNoneExist))))
        {
            yield return new ValidationIssue(IssueSeverity.Error, "business-rule", $"{place}.request", "bundle-conditional", "ifNoneExist does not search for the resource's own identifier.");
        }
    }

    private static IEnumerable<string> OwnIdentifiers(Resource resource) => resource switch
    {
        IIdentifiable<List<Identifier>> many => many.Identifier.Where(IsOwn).Select(Query),
        IIdentifiable<Identifier> one when one.Identifier is { } identifier && IsOwn(identifier) => [Query(identifier)],
        _ => [],
    };

    private static bool IsOwn(Identifier identifier) => identifier.System == "https://ear-referral.example/identifier/resource";

    private static string Query(Identifier identifier) => $"identifier={identifier.System}|{identifier.Value}";

    [GeneratedRegex("^urn:uuid:[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$", RegexOptions.CultureInvariant)]
    private static partial Regex UrnUuid();
}
