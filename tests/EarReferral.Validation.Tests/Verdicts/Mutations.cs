using System.Text.Json.Nodes;

namespace EarReferral.Validation.Tests.Verdicts;

/// <summary>Ways to spoil, or only to change, one resource as JSON.</summary>
internal static class Mutations
{
    private const string Uuid = "0b0e7f2a-1c53-4d3e-9f6b-5a0d8c7e4f11";

    /// <summary>Each takes the resource and a source of chance and says whether it found something to change.</summary>
    public static readonly IReadOnlyList<(string Name, Func<JsonObject, Random, bool> Apply)> All =
    [
        ("nothing changed", (_, _) => true),
        ("member dropped", (root, chance) => OnObject(root, chance, one => one.Count > 0 && one.Remove(Pick(one, chance)))),
        ("member of the resource dropped", (root, chance) => root.Remove(Pick(root, chance))),
        ("unknown member", (root, chance) => OnObject(root, chance, one => one.TryAdd("harbour", JsonValue.Create("lane")))),
        ("string becomes number", (root, chance) => OnString(root, chance, _ => true, _ => JsonValue.Create(5))),
        ("string becomes truth", (root, chance) => OnString(root, chance, _ => true, _ => JsonValue.Create(true))),
        ("string becomes object", (root, chance) => OnString(root, chance, _ => true, _ => new JsonObject { ["value"] = "x" })),
        ("single value becomes list", (root, chance) => OnString(root, chance, _ => true, text => new JsonArray(JsonValue.Create(text)))),
        ("list becomes single value", (root, chance) => OnList(root, chance, list => list.Count > 0 && Replaced(list, list[0]!.DeepClone()))),
        ("string emptied", (root, chance) => OnString(root, chance, _ => true, _ => JsonValue.Create(""))),
        ("string of blanks", (root, chance) => OnString(root, chance, _ => true, _ => JsonValue.Create("  "))),
        ("string with a blank before it", (root, chance) => OnString(root, chance, _ => true, text => JsonValue.Create(" " + text))),
        ("string doubled", (root, chance) => OnString(root, chance, _ => true, text => JsonValue.Create(text + text))),
        ("string in capitals", (root, chance) => OnString(root, chance, _ => true, text => JsonValue.Create(text.ToUpperInvariant()))),
        ("bad code", (root, chance) => OnNamed(root, chance, "code", _ => JsonValue.Create("no-such-code"))),
        ("code of another list", (root, chance) => OnNamed(root, chance, "code", _ => JsonValue.Create(Any(chance, "not-asked", "7771000", "before", "exam", "25577004", "error", "unknown")))),
        ("bad status", (root, chance) => OnNamed(root, chance, "status", _ => JsonValue.Create(Any(chance, "done", "amended", "entered-in-error", "stopped", "rejected")))),
        ("unknown code system", (root, chance) => OnNamed(root, chance, "system", _ => JsonValue.Create(Any(chance, "https://elsewhere.example/codes", "http://snomed.info/sct", "not a uri", "http://unitsofmeasure.org")))),
        ("system dropped", (root, chance) => OnObject(root, chance, one => one.Remove("system"))),
        ("another display", (root, chance) => OnNamed(root, chance, "display", _ => JsonValue.Create("Something else"))),
        ("text of the other ear", (root, chance) => OnNamed(root, chance, "text", _ => JsonValue.Create(Any(chance, "Left ear", "Right ear")))),
        ("list item twice", (root, chance) => OnList(root, chance, list => list.Count > 0 && Appended(list, list[chance.Next(list.Count)]?.DeepClone()))),
        ("list emptied", (root, chance) => OnList(root, chance, list => { list.Clear(); return true; })),
        ("list item null", (root, chance) => OnList(root, chance, list => Appended(list, null))),
        ("list turned round", (root, chance) => OnList(root, chance, list => list.Count > 1 && Turned(list))),
        ("another reference", (root, chance) => OnNamed(root, chance, "reference", _ => JsonValue.Create(Any(chance, $"urn:uuid:{Uuid}", $"Patient/{Uuid}", $"Organization/{Uuid}")))),
        ("odd reference", (root, chance) => OnNamed(root, chance, "reference", _ => JsonValue.Create(Any(chance, "#", "#d", "Patient", "Patient/", $"urn:uuid:{Uuid.ToUpperInvariant()}", $"urn:uuid:{Uuid[..35]}", "http://[", $"Patient/{Uuid}/_history/1", $"9/{Uuid}", "Pátient/" + Uuid, "urn:oid:x")))),
        ("another identifier", (root, chance) => OnNamed(root, chance, "value", text => text.Length == 36 ? JsonValue.Create(Uuid) : null)),
        ("odd identifier", (root, chance) => OnNamed(root, chance, "value", _ => JsonValue.Create(Any(chance, Uuid.ToUpperInvariant(), "{" + Uuid + "}", "9990000027", "hle01", Uuid + "\n")))),
        ("id given", (root, chance) => Set(root, "id", Any(chance, Uuid, Uuid.ToUpperInvariant(), Uuid + "0", "a b", new string('a', 65)))),
        ("another instant", (root, chance) => OnString(root, chance, IsTime, _ => JsonValue.Create(Any(chance, "2026-02-11T09:00:00+00:00", "2031-07-01T23:59:59-05:00", "1957-01-01T00:00:00+14:00")))),
        ("instant that does not exist", (root, chance) => OnString(root, chance, IsTime, _ => JsonValue.Create(Any(chance, "2026-02-30T09:00:00+00:00", "2026-03-31T25:00:00+01:00", "2026-03-31T14:00:00+15:00", "0000-01-01T00:00:00+00:00", "2026-03-31T14:00:60+01:00")))),
        ("instant of another form", (root, chance) => OnString(root, chance, IsTime, _ => JsonValue.Create(Any(chance, "2026", "2026-03", "2026-03-31", "2026-03-31T14:00:00Z", "2026-03-31T14:00:00.123+01:00", "2026-03-31T14:00:00", "2026-03-31T14:00+01:00", "31/03/2026", "2026-03-31 14:00:00+01:00")))),
        ("quantity out of range", (root, chance) => OnObject(root, chance, one => one.ContainsKey("value") && one["value"] is JsonValue number && number.GetValueKind() == System.Text.Json.JsonValueKind.Number && Set(one, "value", Any(chance, -1m, 0m, 99999999999m, 36.70m)))),
        ("unit dropped", (root, chance) => OnObject(root, chance, one => one.ContainsKey("unit") && one.Remove("code"))),
        ("extension without value", (root, chance) => OnObject(root, chance, one => Extended(one, new JsonObject { ["url"] = "https://ear-referral.example/fhir/StructureDefinition/laterality" }))),
        ("extension that nobody defined", (root, chance) => OnObject(root, chance, one => Extended(one, new JsonObject { ["url"] = "https://elsewhere.example/extension", ["valueBoolean"] = true }))),
        ("extension of a primitive", (root, chance) => OnObject(root, chance, one => one.TryAdd("_" + Pick(one, chance).TrimStart('_'), new JsonObject { ["id"] = "x" }))),
        ("two values", (root, _) => Set(root, "valueString", "second") | Set(root, "valueBoolean", true)),
        ("value and reason", (root, _) => root.TryAdd("dataAbsentReason", new JsonObject { ["coding"] = new JsonArray(new JsonObject { ["system"] = "http://terminology.hl7.org/CodeSystem/data-absent-reason", ["code"] = "not-asked" }) })),
        ("contained resource", (root, chance) => Set(root, "contained", new JsonArray(new JsonObject { ["resourceType"] = "Device", ["id"] = Any(chance, "d", "e") }))),
        ("period turned round", (root, chance) => OnObject(root, chance, one => one.ContainsKey("start") && one.ContainsKey("end") && Set(one, "start", "2026-04-30T00:00:00+01:00"))),
        ("task changed before it was written", (root, _) => root.ContainsKey("lastModified") && Set(root, "lastModified", "2020-01-01T00:00:00Z")),
        ("another profile version", (root, _) => root["meta"]?["profile"] is JsonArray { Count: 1 } claims && Replaced(claims[0]!, JsonValue.Create((string)claims[0]! + "|1.0.0"))),
        ("metadata", (root, chance) => root["meta"] is JsonObject meta && Set(meta, Any(chance, "lastUpdated", "versionId", "source"), Any(chance, "2026-03-31T14:00:00+01:00", "2026-03-31", "1"))),
        ("active narrative", (root, chance) => Set(root, "text", new JsonObject { ["status"] = "generated", ["div"] = Any(chance, "<div xmlns=\"http://www.w3.org/1999/xhtml\"><script>1</script></div>", "<div xmlns=\"http://www.w3.org/1999/xhtml\">x</div>", "<div>", "") })),
        ("two members exchanged", (root, chance) => OnObject(root, chance, one => Exchanged(one, Pick(one, chance), Pick(one, chance)))),
    ];

    private static bool IsTime(string text) => text.Length >= 10 && text[4] == '-' && text[7] == '-' && text[..4].All(char.IsAsciiDigit);

    private static TItem Any<TItem>(Random chance, params TItem[] items) => items[chance.Next(items.Length)];

    private static string Pick(JsonObject one, Random chance) => one.Where(member => member.Key != "resourceType").Select(member => member.Key).DefaultIfEmpty("text").OrderBy(_ => chance.Next()).First();

    private static IEnumerable<JsonNode> Nodes(JsonNode node) =>
        (node switch
        {
            JsonObject one => one.Select(member => member.Value),
            JsonArray many => many,
            _ => [],
        }).OfType<JsonNode>().SelectMany(Nodes).Prepend(node);

    private static bool OnObject(JsonObject root, Random chance, Func<JsonObject, bool> change) =>
        Nodes(root).OfType<JsonObject>().OrderBy(_ => chance.Next()).ToList().Any(change);

    private static bool OnList(JsonObject root, Random chance, Func<JsonArray, bool> change) =>
        Nodes(root).OfType<JsonArray>().OrderBy(_ => chance.Next()).ToList().Any(change);

    private static bool OnString(JsonObject root, Random chance, Func<string, bool> suits, Func<string, JsonNode?> change) =>
        Nodes(root).OfType<JsonValue>().Where(value => value.GetValueKind() == System.Text.Json.JsonValueKind.String && value.GetPath() != "$.resourceType" && suits((string)value!))
            .OrderBy(_ => chance.Next()).ToList().Any(value => change((string)value!) is { } changed && Replaced(value, changed));

    private static bool OnNamed(JsonObject root, Random chance, string name, Func<string, JsonNode?> change) =>
        Nodes(root).OfType<JsonObject>().Where(one => one[name] is JsonValue value && value.GetValueKind() == System.Text.Json.JsonValueKind.String)
            .OrderBy(_ => chance.Next()).ToList().Any(one => change((string)one[name]!) is { } changed && Replaced(one[name]!, changed));

    private static bool Replaced(JsonNode node, JsonNode? by)
    {
        node.ReplaceWith(by);
        return true;
    }

    private static bool Appended(JsonArray list, JsonNode? item)
    {
        list.Add(item);
        return true;
    }

    private static bool Turned(JsonArray list)
    {
        var last = list[^1];
        list.RemoveAt(list.Count - 1);
        list.Insert(0, last);
        return true;
    }

    private static bool Set<TValue>(JsonObject one, string name, TValue value)
    {
        one[name] = value as JsonNode ?? JsonValue.Create(value);
        return true;
    }

    private static bool Extended(JsonObject one, JsonObject extension)
    {
        if (one["extension"] is JsonArray list)
        {
            list.Add(extension);
        }
        else
        {
            one["extension"] = new JsonArray(extension);
        }

        return true;
    }

    private static bool Exchanged(JsonObject one, string first, string second)
    {
        if (first == second || !one.ContainsKey(first) || !one.ContainsKey(second))
        {
            return false;
        }

        var (left, right) = (one[first]?.DeepClone(), one[second]?.DeepClone());
        (one[first], one[second]) = (right, left);
        return true;
    }
}
