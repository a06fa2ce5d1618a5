using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Fhir.Representations;
using Hl7.Fhir.Model;
using Microsoft.Extensions.Options;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir.Terminology;

/// <summary>Search among <see cref="Definitions"/>. What would narrow and is not known is refused, since ignoring it would answer more than was asked.</summary>
internal static class DefinitionSearch
{
    /// <summary>Search parameters of a type.</summary>
    public static IReadOnlyList<string> Parameters(string type) => type == "NamingSystem" ? ["_id"] : ["_id", "url"];

    /// <summary>Answers a search.</summary>
    public static FhirResult Answer(string type, IEnumerable<KeyValuePair<string, string>> parameters, Subset subset, Definitions definitions, IOptions<GatewayOptions> gateway)
    {
        var known = Parameters(type);
        var asked = parameters.Where(parameter => parameter.Key is not ("_format" or "_pretty" or "_summary" or "_elements") && parameter.Value.Length > 0).ToList();
        if (asked.FirstOrDefault(parameter => !known.Contains(parameter.Key)) is { Key: { } unknown })
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.NotSupported, $"{unknown}: search {type} by {string.Join(" or ", known)}.");
        }

        var found = definitions.All.Where(definition => definition.TypeName == type
            && asked.All(parameter => parameter.Value.Split(',').Contains(parameter.Key == "url" ? Definitions.Url(definition) : definition.Id, StringComparer.Ordinal))).ToList();
        var self = string.Join('&', asked.Select(parameter => $"{Uri.EscapeDataString(parameter.Key)}={Uri.EscapeDataString(parameter.Value)}"));
        return FhirResult.Ok(new Bundle
        {
            Type = Bundle.BundleType.Searchset,
            Total = found.Count,
            Link = [new Bundle.LinkComponent { Relation = "self", Url = new Uri(gateway.Value.PublicBaseUrl, $"fhir/{type}{(self.Length > 0 ? "?" : "")}{self}").ToString() }],
            Entry = [.. (subset.IsCount ? [] : found).Select(definition => new Bundle.EntryComponent
            {
                FullUrl = new Uri(gateway.Value.PublicBaseUrl, $"fhir/{type}/{definition.Id}").ToString(),
                Resource = subset.Apply((Resource)definition.DeepCopy()),
                Search = new Bundle.SearchComponent { Mode = Bundle.SearchEntryMode.Match },
            })],
        });
    }
}
