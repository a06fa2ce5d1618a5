using System.Globalization;
using EarReferral.Gateway.Configuration;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Search;
using Hl7.Fhir.Model;
using Microsoft.Extensions.Options;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir.Operations;

/// <summary>Answers <c>Patient/{id}/$everything</c> and <c>Encounter/{id}/$everything</c>: one searchset, paged only when asked or very long.</summary>
internal sealed class EverythingOperation(ResourceStore resources, PageLinks links, IOptions<GatewayOptions> gateway, TimeProvider clock)
{
    private const string Cursor = "_cursor";
    private const string Place = "_place";

    /// <summary>Most resources in one answer, even when no page was asked for.</summary>
    private const int Greatest = 2000;

    private static readonly string[] Known = ["start", "end", "_since", "_type", "_count", Place];

    /// <summary>Answers one call.</summary>
    public async Task<FhirResult> AnswerAsync(string type, string id, FhirRequest request, CancellationToken stop)
    {
        if (request.Parameter(Cursor) is { } cursor)
        {
            if (await links.OpenAsync(request.Reach, cursor, stop) is not { } opened)
            {
                return FhirSearch.NoSuchPage();
            }

            request = request with { Parameters = opened };
        }

        if (Query(type, request) is not { } query)
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Value, $"{(type == "Patient" ? "start and end are dates, " : "")}_since is an instant, _type names resource types served here, _count is a whole number from 1.");
        }

        if (await resources.EverythingAsync(request.Reach, type, id, query, stop) is not { } page)
        {
            return FhirResult.Error(StatusCodes.Status404NotFound, IssueType.NotFound, $"There is no {type} with this id.");
        }

        var path = $"{type}/{id}/$everything";
        var used = request.Parameters.Where(pair => Known.Contains(pair.Key) && pair.Key != Place && pair.Value.Length > 0).ToList();
        var bundle = new Bundle
        {
            Type = Bundle.BundleType.Searchset,
            Timestamp = clock.GetUtcNow(),
            Total = page.Total,
            Link = [new Bundle.LinkComponent { Relation = "self", Url = FhirSearch.Address(gateway.Value, path, used) }],
            Entry = [.. page.Entries.Select(found => new Bundle.EntryComponent
            {
                FullUrl = FhirSearch.Address(gateway.Value, $"{found.Type}/{found.Id}", []),
                Resource = found.Parse(),
                Search = new Bundle.SearchComponent { Mode = Bundle.SearchEntryMode.Match },
            })],
        };
        if (page.Next is { } next)
        {
            var token = await links.SealAsync(request.Reach, [.. used, KeyValuePair.Create(Place, next.ToString(CultureInfo.InvariantCulture))], stop);
            bundle.Link.Add(new Bundle.LinkComponent { Relation = "next", Url = FhirSearch.Address(gateway.Value, path, [KeyValuePair.Create(Cursor, token)]) });
        }

        return FhirResult.Ok(bundle);
    }

    private static EverythingQuery? Query(string type, FhirRequest request)
    {
        string? Value(string name) => request.Parameter(name);
        var (start, end, since) = (FhirDates.Span(Value("start")), FhirDates.Span(Value("end")), FhirDates.Span(Value("_since")));
        var types = request.Parameters.Where(pair => pair.Key == "_type").SelectMany(pair => pair.Value.Split(',', StringSplitOptions.RemoveEmptyEntries)).ToList();
        var count = Greatest;
        var isUnreadable = (Value("start") is not null && (start is null || type != "Patient"))
            || (Value("end") is not null && (end is null || type != "Patient"))
            || (Value("_since") is not null && since is null)
            || types.Any(name => !Capability.Types.Contains(name))
            || (Value("_count") is { } text && (!int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out count) || count == 0));
        return isUnreadable
            ? null
            : new EverythingQuery(start?.From, end?.To, since?.From, types, Math.Min(count, Greatest), long.TryParse(Value(Place), CultureInfo.InvariantCulture, out var place) ? place : 0);
    }
}
