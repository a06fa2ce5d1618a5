using System.Text.Json.Nodes;

namespace EarReferral.Sandbox.Http;

/// <summary>What the receiver declares at <c>/metadata</c>; a sender decides from it whether it may send a transaction.</summary>
internal static class Capability
{
    private static readonly string[] Types =
    [
        "Composition", "Condition", "Encounter", "Observation", "Organization", "Patient", "Practitioner",
        "PractitionerRole", "Procedure", "Provenance", "ServiceRequest", "Task",
    ];

    private static readonly string[] Interactions = ["read", "search-type", "create"];

    public static JsonObject Statement(DateTimeOffset date, string baseUrl, bool updates) => new()
    {
        ["resourceType"] = "CapabilityStatement",
        ["status"] = "active",
        ["date"] = FhirJson.Instant(date),
        ["kind"] = "instance",
        ["implementation"] = new JsonObject { ["description"] = "Stand-in ENT receiver, for demos and tests only", ["url"] = baseUrl },
        ["fhirVersion"] = "4.0.1",
        ["format"] = new JsonArray("json"),
        ["rest"] = new JsonArray(new JsonObject
        {
            ["mode"] = "server",
            ["resource"] = new JsonArray([.. Types.Select(type => Resource(type, updates))]),
            ["interaction"] = new JsonArray(new JsonObject { ["code"] = "transaction" }),
        }),
    };

    private static JsonObject Resource(string type, bool updates)
    {
        var resource = new JsonObject
        {
            ["type"] = type,
            ["interaction"] = new JsonArray([.. Interactions.Select(code => new JsonObject { ["code"] = code })]),
            ["versioning"] = "versioned",
            ["conditionalCreate"] = true,
            ["conditionalUpdate"] = updates,
        };
        if (type != "Provenance")
        {
            resource["searchParam"] = new JsonArray(new JsonObject { ["name"] = "identifier", ["type"] = "token" });
        }

        return resource;
    }
}
