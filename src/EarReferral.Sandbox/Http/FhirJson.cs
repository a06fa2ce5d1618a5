using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Sandbox.Storing;
using EarReferral.Sandbox.Transactions;

namespace EarReferral.Sandbox.Http;

/// <summary>Bodies that the receiver answers with.</summary>
internal static class FhirJson
{
    public const string MediaType = "application/fhir+json";

    public static JsonObject OperationOutcome(IEnumerable<Issue> issues) => new()
    {
        ["resourceType"] = "OperationOutcome",
        ["issue"] = new JsonArray([.. issues.Select(IssueNode)]),
    };

    public static JsonObject TransactionResponse(IEnumerable<EntryOutcome> entries) => new()
    {
        ["resourceType"] = "Bundle",
        ["type"] = "transaction-response",
        ["entry"] = new JsonArray([.. entries.Select(EntryNode)]),
    };

    public static JsonObject SearchSet(IReadOnlyList<StoredResource> found, string baseUrl, string self) => new()
    {
        ["resourceType"] = "Bundle",
        ["type"] = "searchset",
        ["total"] = found.Count,
        ["link"] = new JsonArray(new JsonObject { ["relation"] = "self", ["url"] = self }),
        ["entry"] = found.Count == 0 ? null : new JsonArray([.. found.Select(resource => MatchNode(resource, baseUrl))]),
    };

    /// <summary>Body of a resource, as held.</summary>
    public static JsonNode Resource(StoredResource resource) => JsonSerializer.SerializeToNode(resource.Json)!;

    public static string Instant(DateTimeOffset instant) => instant.UtcDateTime.ToString("yyyy-MM-dd'T'HH:mm:ss.fff'Z'", CultureInfo.InvariantCulture);

    private static JsonObject IssueNode(Issue issue)
    {
        var node = new JsonObject { ["severity"] = "error", ["code"] = issue.Code, ["diagnostics"] = issue.Diagnostics };
        if (issue.Expression is not null)
        {
            node["expression"] = new JsonArray(issue.Expression);
        }

        return node;
    }

    private static JsonObject EntryNode(EntryOutcome entry) => new()
    {
        ["response"] = new JsonObject
        {
            ["status"] = entry.Created ? "201 Created" : "200 OK",
            ["location"] = entry.Resource.Location,
            ["etag"] = entry.Resource.ETag,
            ["lastModified"] = Instant(entry.Resource.LastUpdated),
        },
    };

    private static JsonObject MatchNode(StoredResource resource, string baseUrl) => new()
    {
        ["fullUrl"] = $"{baseUrl}/{resource.Reference}",
        ["resource"] = Resource(resource),
        ["search"] = new JsonObject { ["mode"] = "match" },
    };
}
