using System.Globalization;
using EarReferral.Gateway.Configuration;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Search;
using Hl7.Fhir.Model;
using Microsoft.Extensions.Options;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir;

/// <summary>Answers the history of one resource: every version, the newest first. Nothing is ever deleted, so no entry says so.</summary>
internal sealed class FhirHistory(ResourceStore resources, PageLinks links, IOptions<GatewayOptions> gateway, TimeProvider clock)
{
    private const string Cursor = "_cursor";
    private const string Before = "_before";
    private static readonly string[] Once = ["_since", "_at", "_count"];

    /// <summary>Answers one history.</summary>
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

        if (Once.FirstOrDefault(name => request.Parameters.Count(pair => pair.Key == name) > 1) is { } repeated)
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Value, $"{repeated} can be given once.");
        }

        var (since, at) = (FhirDates.Span(request.Parameter("_since")), FhirDates.Span(request.Parameter("_at")));
        var count = SearchParser.DefaultCount;
        if ((request.Parameter("_since") is not null && since is null) || (request.Parameter("_at") is not null && at is null)
            || (request.Parameter("_count") is { } wanted && !int.TryParse(wanted, NumberStyles.None, CultureInfo.InvariantCulture, out count)))
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Value, "_since and _at are dates, _count is a whole number.");
        }

        var versions = await resources.HistoryAsync(request.Reach, type, id, stop);
        if (versions.Count == 0)
        {
            return FhirResult.Error(StatusCodes.Status404NotFound, IssueType.NotFound, $"There is no {type} with this id.");
        }

        var asked = versions
            .Where((version, index) => (since is null || version.LastUpdated >= since.Value.From)
                && (at is null || (version.LastUpdated < at.Value.To && (index == 0 || versions[index - 1].LastUpdated > at.Value.From))))
            .ToList();
        var before = int.TryParse(request.Parameter(Before), CultureInfo.InvariantCulture, out var place) ? place : int.MaxValue;
        var page = asked.Where(version => version.Version < before).Take(Math.Min(count, SearchParser.GreatestCount)).ToList();
        var bundle = new Bundle
        {
            Type = Bundle.BundleType.History,
            Timestamp = clock.GetUtcNow(),
            Total = asked.Count,
            Entry = [.. page.Select(Entry)],
        };
        var used = request.Parameters.Where(pair => Once.Contains(pair.Key)).ToList();
        bundle.Link.Add(new Bundle.LinkComponent { Relation = "self", Url = FhirSearch.Address(gateway.Value, $"{type}/{id}/_history", used) });
        if (page.Count > 0 && asked[^1].Version < page[^1].Version)
        {
            var next = await links.SealAsync(request.Reach, [.. used, KeyValuePair.Create(Before, page[^1].Version.ToString(CultureInfo.InvariantCulture))], stop);
            bundle.Link.Add(new Bundle.LinkComponent { Relation = "next", Url = FhirSearch.Address(gateway.Value, $"{type}/{id}/_history", [KeyValuePair.Create(Cursor, next)]) });
        }

        return FhirResult.Ok(bundle);
    }

    private Bundle.EntryComponent Entry(StoredResource version)
    {
        var isFirst = version.Version == 1;
        return new Bundle.EntryComponent
        {
            FullUrl = FhirSearch.Address(gateway.Value, $"{version.Type}/{version.Id}", []),
            Resource = version.Parse(),
            Request = new Bundle.RequestComponent { Method = isFirst ? Bundle.HTTPVerb.POST : Bundle.HTTPVerb.PUT, Url = isFirst ? version.Type : $"{version.Type}/{version.Id}" },
            Response = new Bundle.ResponseComponent
            {
                Status = isFirst ? "201 Created" : "200 OK",
                Etag = $"W/\"{version.Version.ToString(CultureInfo.InvariantCulture)}\"",
                LastModified = version.LastUpdated,
            },
        };
    }
}
