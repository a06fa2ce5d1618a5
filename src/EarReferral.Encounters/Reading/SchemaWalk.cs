using System.Text.Json;

namespace EarReferral.Encounters.Reading;

/// <summary>Finds the part of the schema that speaks about a place of a document; the schema has no alternatives, so there is exactly one.</summary>
internal static class SchemaWalk
{
    /// <summary>The whole schema.</summary>
    public static readonly JsonElement Root = JsonDocument.Parse(EncounterSchema.Text).RootElement;

    /// <summary>The schema at a place that the contract knows.</summary>
    /// <param name="path">Unescaped parts of a JSON Pointer.</param>
    public static JsonElement At(IReadOnlyList<string> path)
    {
        var schema = Root;
        foreach (var part in path)
        {
            schema = Resolve(schema);
            schema = schema.TryGetProperty("items", out var items) ? items : schema.GetProperty("properties").GetProperty(part);
        }

        return Resolve(schema);
    }

    private static JsonElement Resolve(JsonElement schema) => schema.TryGetProperty("$ref", out var reference)
        ? Root.GetProperty("$defs").GetProperty(reference.GetString()!["#/$defs/".Length..])
        : schema;
}
