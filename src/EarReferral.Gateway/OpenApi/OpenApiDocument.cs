using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Encounters;
using Microsoft.AspNetCore.OpenApi;
using Microsoft.OpenApi;

namespace EarReferral.Gateway.OpenApi;

/// <summary>The OpenAPI 3.1 document: what the framework describes, with the hand-written encounter schema and real examples in it.</summary>
/// <remarks>
/// The framework's generator would derive a second schema from the C# model, and the two could drift. Here the file that
/// refuses a request is the file that is published; only its references are rewritten to components.
/// </remarks>
internal sealed class OpenApiDocument(
    [FromKeyedServices(ContractDocuments.DocumentName)] IOpenApiDocumentProvider described,
    IntakeExample example) : IDisposable
{
    private readonly SemaphoreSlim once = new(1, 1);
    private byte[]? json;

    /// <summary>UTF-8 JSON of the document, made at the first request.</summary>
    public async Task<byte[]> JsonAsync(CancellationToken stop)
    {
        await once.WaitAsync(stop);
        try
        {
            return json ??= JsonSerializer.SerializeToUtf8Bytes(await BuildAsync(stop));
        }
        finally
        {
            once.Release();
        }
    }

    /// <summary>The encounter schema as components: the root as <c>Encounter</c>, each definition as <c>Encounter.name</c>.</summary>
    internal static Dictionary<string, JsonObject> EncounterComponents()
    {
        var root = JsonNode.Parse(EncounterSchema.Text)!.AsObject();
        var definitions = root["$defs"]!.AsObject();
        root.Remove("$defs");
        root.Remove("$schema");
        root.Remove("$id");
        var components = definitions.ToDictionary(definition => $"Encounter.{definition.Key}", definition => definition.Value!.DeepClone().AsObject());
        components["Encounter"] = root;
        foreach (var component in components.Values)
        {
            PointAtComponents(component);
        }

        return components;
    }

    private static void PointAtComponents(JsonNode? node)
    {
        switch (node)
        {
            case JsonObject members:
                foreach (var (name, value) in members.ToList())
                {
                    if (name == "$ref" && value is JsonValue reference)
                    {
                        members[name] = ((string)reference!).Replace("#/$defs/", "#/components/schemas/Encounter.", StringComparison.Ordinal);
                    }
                    else
                    {
                        PointAtComponents(value);
                    }
                }

                break;
            case JsonArray items:
                foreach (var item in items)
                {
                    PointAtComponents(item);
                }

                break;
        }
    }

    private async Task<JsonObject> BuildAsync(CancellationToken stop)
    {
        var document = await described.GetOpenApiDocumentAsync(stop);
        var root = JsonNode.Parse(await document.SerializeAsJsonAsync(OpenApiSpecVersion.OpenApi3_1, stop))!.AsObject();
        var components = root["components"] as JsonObject ?? [];
        root["components"] = components;
        var schemas = components["schemas"] as JsonObject ?? [];
        components["schemas"] = schemas;
        foreach (var (name, schema) in EncounterComponents())
        {
            schemas[name] = schema;
        }

        var (encounter, receipt, preview) = example.Make();
        foreach (var (path, method) in new[] { ("/encounters", "post"), ("/encounters/preview", "post"), ("/encounters/{id}", "put") })
        {
            var operation = root["paths"]![path]![method]!.AsObject();
            operation["requestBody"]!["content"] = new JsonObject
            {
                ["application/json"] = new JsonObject
                {
                    ["schema"] = new JsonObject { ["$ref"] = "#/components/schemas/Encounter" },
                    ["example"] = encounter.DeepClone(),
                },
            };
            foreach (var (_, response) in operation["responses"]!.AsObject().Where(response => response.Key is "200" or "201"))
            {
                response!["content"]!["application/json"]!["example"] = (path == "/encounters/preview" ? preview : receipt).DeepClone();
            }
        }

        Exemplify(root, "/encounters/{id}/answers", IntakeExample.Answers(), receipt);
        var (retraction, retracted) = example.Retraction();
        Exemplify(root, "/encounters/{id}/retraction", retraction, retracted);
        var (closure, closed) = example.Closure();
        Exemplify(root, "/referrals/{id}/closure", closure, closed);
        foreach (var (path, request) in ReferralExamples.Requests())
        {
            Exemplify(root, path, request, closed);
        }

        Exemplify(root, "/alarms/{id}/acknowledgement", ReferralExamples.Acknowledgement(), ReferralExamples.Alarm());
        return root;
    }

    private static void Exemplify(JsonObject root, string path, JsonNode request, JsonNode answer)
    {
        var operation = root["paths"]![path]!["post"]!;
        operation["requestBody"]!["content"]!["application/json"]!["example"] = request.DeepClone();
        operation["responses"]!["200"]!["content"]!["application/json"]!["example"] = answer.DeepClone();
    }

    /// <inheritdoc />
    public void Dispose() => once.Dispose();
}
