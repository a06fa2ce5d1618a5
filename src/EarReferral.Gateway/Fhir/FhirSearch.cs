using System.Text;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Fhir.Representations;
using EarReferral.Storage;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Search;
using Hl7.Fhir.Model;
using Microsoft.Extensions.Options;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir;

/// <summary>Answers a search with a searchset Bundle, or with everything that is wrong with it.</summary>
internal sealed class FhirSearch(ResourceStore resources, PageLinks links, Store store, IOptions<GatewayOptions> gateway, TimeProvider clock)
{
    /// <summary>Name of the parameter that carries the sealed search and the place in its result.</summary>
    private const string Cursor = "_cursor";
    private const string Place = "_place";
    private const string InCompartment = "_compartment";

    /// <summary>Parameters about the form of the answer, which the store does not know.</summary>
    private static readonly string[] Presentation = ["_format", "_pretty", "_summary", "_elements"];

    /// <summary>Answers one search.</summary>
    public async Task<FhirResult> AnswerAsync(string type, Compartment? compartment, FhirRequest request, CancellationToken stop)
    {
        var (parameters, place) = (request.Parameters, default(string));
        if (request.Parameter(Cursor) is { } cursor)
        {
            if (await links.OpenAsync(request.Reach, cursor, stop) is not { } opened)
            {
                return NoSuchPage();
            }

            place = opened.Single(pair => pair.Key == Place).Value;
            compartment = opened.Where(pair => pair.Key == InCompartment).Select(pair => pair.Value.Split('/')).Select(parts => new Compartment(parts[0], parts[1])).FirstOrDefault();
            parameters = [.. opened.Where(pair => pair.Key is not (Place or InCompartment))];
        }

        if (compartment is not null && compartment.Parameters(type).Count == 0)
        {
            return FhirResult.Error(StatusCodes.Status404NotFound, IssueType.NotSupported, $"This type is not part of a {compartment.Type} compartment.");
        }

        var parse = SearchParser.Parse(type, parameters.Where(pair => !Presentation.Contains(pair.Key)), clock.GetUtcNow(), new Uri(gateway.Value.PublicBaseUrl, "fhir/"), compartment);
        if (parse.Query is not { } query || (request.IsStrict && parse.Problems.Count > 0))
        {
            return FhirResult.Of(StatusCodes.Status400BadRequest, SearchProblems.Outcome(parse.Problems, OperationOutcome.IssueSeverity.Error));
        }

        if (resources.NotYetIndexed(query) is { Count: > 0 } waiting)
        {
            var progress = store.Renewal;
            return Wait($"The search index is being renewed for {string.Join(", ", waiting)}: {progress?.Done ?? 0} of {progress?.Total ?? 0} resources. Until then an answer could be incomplete.");
        }

        var (subset, _) = Subset.Of(parameters);
        var page = await resources.SearchAsync(request.Reach, subset.IsCount ? query with { Count = 0 } : query, place, stop);
        KeyValuePair<string, string>[] used = [.. query.Effective, .. parameters.Where(pair => pair.Key is "_summary" or "_elements" && pair.Value.Length > 0)];
        var bundle = new Bundle { Type = Bundle.BundleType.Searchset, Timestamp = clock.GetUtcNow(), Total = page.Total };
        var path = compartment is null ? type : $"{compartment.Type}/{compartment.Id}/{type}";
        bundle.Link.Add(new Bundle.LinkComponent
        {
            Relation = "self",
            Url = request.Parameter(Cursor) is { } self ? Address(gateway.Value, type, [KeyValuePair.Create(Cursor, self)]) : Address(gateway.Value, path, used),
        });
        if (page.Next is { } next)
        {
            KeyValuePair<string, string>[] compartments = compartment is null ? [] : [KeyValuePair.Create(InCompartment, $"{compartment.Type}/{compartment.Id}")];
            var token = await links.SealAsync(request.Reach, [.. used, .. compartments, KeyValuePair.Create(Place, next)], stop);
            bundle.Link.Add(new Bundle.LinkComponent { Relation = "next", Url = Address(gateway.Value, type, [KeyValuePair.Create(Cursor, token)]) });
        }

        bundle.Entry.AddRange(page.Entries.Select(found => Entry(found, subset, Bundle.SearchEntryMode.Match)));
        bundle.Entry.AddRange(page.Included.Select(found => Entry(found, subset, Bundle.SearchEntryMode.Include)));
        if (SearchProblems.Remarks(parse.Problems, page) is { } remarks)
        {
            bundle.Entry.Add(new Bundle.EntryComponent
            {
                FullUrl = $"urn:uuid:{Guid.CreateVersion7()}",
                Resource = remarks,
                Search = new Bundle.SearchComponent { Mode = Bundle.SearchEntryMode.Outcome },
            });
        }

        return FhirResult.Ok(bundle);
    }

    /// <summary>An address below our base, parameters percent-encoded.</summary>
    public static string Address(GatewayOptions gateway, string path, IEnumerable<KeyValuePair<string, string>> parameters)
    {
        var address = new StringBuilder(new Uri(gateway.PublicBaseUrl, $"fhir/{path}").ToString());
        var separator = '?';
        foreach (var (name, value) in parameters)
        {
            address.Append(separator).Append(Uri.EscapeDataString(name)).Append('=').Append(Uri.EscapeDataString(value));
            separator = '&';
        }

        return address.ToString();
    }

    /// <summary>Beginning again at the first page instead would be a loop without end for who follows links.</summary>
    public static FhirResult NoSuchPage() =>
        FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Value, "This link to a page was not made here or not for this caller. Search again.");

    private static FhirResult Wait(string sentence) => FhirResult.Error(StatusCodes.Status503ServiceUnavailable, IssueType.Transient, sentence).After(30);

    private Bundle.EntryComponent Entry(StoredResource found, Subset subset, Bundle.SearchEntryMode mode) => new()
    {
        FullUrl = Address(gateway.Value, $"{found.Type}/{found.Id}", []),
        Resource = subset.Apply(found.Parse()),
        Search = new Bundle.SearchComponent { Mode = mode },
    };
}
