using System.Text.Json;
using System.Text.Json.Nodes;

namespace EarReferral.Sandbox.Storing;

/// <summary>One version of a resource as the receiver keeps it.</summary>
internal sealed record StoredResource(string Type, string Id, int Version, DateTimeOffset LastUpdated, JsonElement Json)
{
    public string ETag => $"W/\"{Version}\"";

    public string Reference => $"{Type}/{Id}";

    public string Location => $"{Type}/{Id}/_history/{Version}";

    /// <summary>True for a Task that asks to stop another one; nobody works on it.</summary>
    public bool IsAbort => Type == "Task"
        && Json.TryGetProperty("code", out var code) && code.TryGetProperty("coding", out var codings)
        && codings.EnumerateArray().Any(coding => coding.TryGetProperty("code", out var value) && value.GetString() == "abort");

    /// <summary>Writes id and meta into the body, so that a read answers what the journal holds.</summary>
    public static StoredResource Of(JsonObject body, string id, int version, DateTimeOffset now)
    {
        var meta = body["meta"]?.AsObject().DeepClone().AsObject() ?? [];
        meta["versionId"] = $"{version}";
        meta["lastUpdated"] = now.ToString("O");
        var type = (string)body["resourceType"]!;
        var json = new JsonObject { ["resourceType"] = type, ["id"] = id, ["meta"] = meta };
        foreach (var (name, value) in body)
        {
            if (name is not ("resourceType" or "id" or "meta"))
            {
                json[name] = value?.DeepClone();
            }
        }

        return new StoredResource(type, id, version, now, JsonSerializer.SerializeToElement(json));
    }

    public IEnumerable<IdentifierToken> Identifiers() => IdentifierToken.Of(Json);
}
