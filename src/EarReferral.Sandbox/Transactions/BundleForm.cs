using System.Text.Json;
using System.Text.Json.Nodes;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Sandbox.Transactions;

/// <summary>Reads a posted transaction Bundle and checks its form (FHIR R4, RESTful API, transaction; Bundle bdl-1 to bdl-8).</summary>
internal static class BundleForm
{
    private static readonly FhirJsonDeserializer Strict = new(new DeserializerSettings().UsingMode(DeserializationMode.Strict));

    private static readonly string[] NotInBundle = ["total", "signature"];
    private static readonly string[] NotInEntry = ["search", "response"];

    public static (IReadOnlyList<TransactionEntry> Entries, IReadOnlyList<Issue> Issues) Read(byte[] body, bool updates)
    {
        JsonObject? bundle;
        try
        {
            bundle = JsonNode.Parse(body) as JsonObject;
        }
        catch (JsonException)
        {
            return ([], [new Issue(400, "structure", null, "The body is not JSON.")]);
        }

        if (bundle is null || Text(bundle["resourceType"]) != "Bundle" || Text(bundle["type"]) != "transaction")
        {
            return ([], [new Issue(400, "invalid", "Bundle.type", "Only a Bundle of type transaction can be posted to the base.")]);
        }

        // The content model of the standard decides about elements, types, cardinality and required codes.
        var reader = new Utf8JsonReader(body);
        if (!Strict.TryDeserializeResource(ref reader, out _, out var problems))
        {
            return ([], [.. problems.Select(problem => new Issue(400, "structure", null, problem.ErrorCode))]);
        }

        var issues = new List<Issue>();
        foreach (var member in NotInBundle.Where(bundle.ContainsKey))
        {
            issues.Add(new Issue(400, "invariant", $"Bundle.{member}", $"A transaction carries no {member}."));
        }

        var entries = (bundle["entry"] as JsonArray ?? []).Select((entry, index) => Entry(entry!.AsObject(), index, updates, issues)).OfType<TransactionEntry>().ToList();
        if (bundle["entry"] is not JsonArray { Count: > 0 })
        {
            issues.Add(new Issue(400, "required", "Bundle.entry", "A transaction needs at least one entry."));
        }

        foreach (var twice in entries.GroupBy(entry => entry.FullUrl).SelectMany(group => group.Skip(1)))
        {
            issues.Add(new Issue(400, "invariant", $"{twice.Path}.fullUrl", "The fullUrl is used by an earlier entry (bdl-7)."));
        }

        foreach (var twice in entries.Where(entry => entry.Condition is not null).GroupBy(entry => (entry.Type, entry.Condition)).SelectMany(group => group.Skip(1)))
        {
            issues.Add(new Issue(400, "invalid", $"{twice.Path}.request", "An earlier entry creates or updates the same resource; identities of a transaction must not overlap."));
        }

        return (entries, issues);
    }

    private static TransactionEntry? Entry(JsonObject entry, int index, bool updates, List<Issue> issues)
    {
        var path = $"Bundle.entry[{index}]";
        var before = issues.Count;
        foreach (var member in NotInEntry.Where(entry.ContainsKey))
        {
            issues.Add(new Issue(400, "invariant", $"{path}.{member}", $"An entry of a transaction carries no {member}."));
        }

        var fullUrl = Text(entry["fullUrl"]);
        if (fullUrl is null || !fullUrl.StartsWith("urn:uuid:", StringComparison.Ordinal) || !Guid.TryParseExact(fullUrl["urn:uuid:".Length..], "D", out _))
        {
            issues.Add(new Issue(400, "value", $"{path}.fullUrl", "A resource to be created needs a fullUrl of the form urn:uuid."));
        }

        if (entry["resource"] is not JsonObject resource)
        {
            issues.Add(new Issue(400, "required", $"{path}.resource", "A POST entry needs a resource."));
            return null;
        }

        if (entry["request"] is not JsonObject request)
        {
            issues.Add(new Issue(400, "required", $"{path}.request", "An entry of a transaction needs a request (bdl-3)."));
            return null;
        }

        var type = Text(resource["resourceType"])!;
        var isUpdate = updates && Text(request["method"]) == "PUT";
        if (!isUpdate && Text(request["method"]) != "POST")
        {
            issues.Add(new Issue(400, "not-supported", $"{path}.request.method", updates ? "This receiver creates and updates by condition." : "This receiver only creates."));
        }
        else if (isUpdate ? Text(request["url"])?.StartsWith($"{type}?", StringComparison.Ordinal) is not true : Text(request["url"]) != type)
        {
            issues.Add(new Issue(400, "invalid", $"{path}.request.url", "The url is the type of the resource, and for an update its condition besides."));
        }

        return issues.Count == before
            ? new TransactionEntry(index, fullUrl!, type, resource, isUpdate ? Text(request["url"])![(type.Length + 1)..] : Text(request["ifNoneExist"]), isUpdate)
            : null;
    }

    private static string? Text(JsonNode? node) => node is JsonValue value && value.TryGetValue<string>(out var text) ? text : null;
}
