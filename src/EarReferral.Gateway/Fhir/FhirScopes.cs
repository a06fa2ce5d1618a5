using EarReferral.Gateway.Fhir.Terminology;
using EarReferral.Storage.Search;
using Hl7.Fhir.Model;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir;

/// <summary>What the scopes of a token let it read; the same for a request and for an entry of a batch.</summary>
/// <remarks>Source: SMART App Launch 2, scopes: r is read, vread and the history of one resource, s is search. Published definitions speak of no patient and need none.</remarks>
internal static class FhirScopes
{
    /// <summary>Refuses what no scope grants; null when one does.</summary>
    public static FhirResult? Refusal(IReadOnlyList<string> path, FhirRequest request)
    {
        if (request.Scopes is not { } scopes || path is ["metadata"] || Definitions.Types.Contains(path[0]))
        {
            return null;
        }

        var (type, letter) = path switch
        {
            // Everything about a patient is of any type.
            [_, _, "$everything"] => ("*", 'r'),
            [var owner, _, var member] when Compartment.Owners.Contains(owner) && char.IsAsciiLetterUpper(member.FirstOrDefault()) => (member, 's'),
            [var searched] => (searched, 's'),
            _ => (path[0], 'r'),
        };
        return scopes.Allows(type, letter)
            ? null
            : FhirResult.Error(StatusCodes.Status403Forbidden, IssueType.Forbidden, $"The token has no scope system/{type}.{letter}.");
    }

    /// <summary>Takes out of a search what came along and is of a type that no scope lets be read.</summary>
    public static FhirResult WithinScopes(FhirResult result, FhirRequest request)
    {
        if (request.Scopes is { ReadsAll: false } scopes && result.Status == StatusCodes.Status200OK && result.Resource is Bundle { Type: Bundle.BundleType.Searchset } bundle)
        {
            bundle.Entry.RemoveAll(entry => entry.Search?.Mode == Bundle.SearchEntryMode.Include && !scopes.Allows(entry.Resource!.TypeName, 'r'));
        }

        return result;
    }
}
