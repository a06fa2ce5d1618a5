using System.Text.Json.Nodes;

namespace EarReferral.Sandbox.Transactions;

/// <summary>Finds and rewrites references inside a resource.</summary>
internal static class ReferenceWalk
{
    // FHIR R4 has a receiver rewrite references and elements of type uri, url, oid and uuid; canonicals stay as they are.
    private static readonly HashSet<string> Rewritten = ["reference", "url", "valueUri", "valueUrl", "valueUuid", "valueOid"];

    public static IEnumerable<(string Path, string Reference)> References(JsonNode? node, string path) => node switch
    {
        JsonObject parent => parent.SelectMany(member =>
            member.Key == "reference" && member.Value is JsonValue value && value.TryGetValue<string>(out var text)
                ? [($"{path}.reference", text)]
                : References(member.Value, $"{path}.{member.Key}")),
        JsonArray items => items.SelectMany((item, index) => References(item, $"{path}[{index}]")),
        _ => [],
    };

    public static JsonObject Rewrite(JsonObject resource, IReadOnlyDictionary<string, string> targets)
    {
        var copy = resource.DeepClone().AsObject();
        Walk(copy, targets);
        return copy;
    }

    private static void Walk(JsonNode? node, IReadOnlyDictionary<string, string> targets)
    {
        switch (node)
        {
            case JsonObject parent:
                foreach (var (name, value) in parent.ToList())
                {
                    if (value is JsonValue leaf && leaf.TryGetValue<string>(out var text))
                    {
                        parent[name] = Replace(name, text, targets);
                    }
                    else
                    {
                        Walk(value, targets);
                    }
                }

                break;
            case JsonArray items:
                foreach (var item in items)
                {
                    Walk(item, targets);
                }

                break;
            default:
                break;
        }
    }

    private static string Replace(string name, string text, IReadOnlyDictionary<string, string> targets) => name switch
    {
        _ when Rewritten.Contains(name) => targets.GetValueOrDefault(text, text),
        "div" => targets.Aggregate(text, (narrative, target) => narrative.Replace($"\"{target.Key}\"", $"\"{target.Value}\"", StringComparison.Ordinal)),
        _ => text,
    };
}
