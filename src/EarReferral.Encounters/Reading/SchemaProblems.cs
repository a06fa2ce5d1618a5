using System.Text.Json;
using Json.Schema;

namespace EarReferral.Encounters.Reading;

/// <summary>Turns what the schema library reports into our own stable problems, told in the schema's words.</summary>
internal static class SchemaProblems
{
    /// <summary>Most problems that one answer lists; the sixty-odd members of a real document stay far below.</summary>
    private const int Most = 500;

    // One wrong value breaks several keywords at once; the first of these tells why.
    private static readonly string[] Precedence = ["", "type", "enum", "minLength", "maxLength", "minItems", "maxItems", "pattern", "format", "minimum", "maximum"];

    public static IReadOnlyList<EncounterProblem> From(JsonElement document, EvaluationResults results)
    {
        var problems = new List<EncounterProblem>();
        foreach (var result in (results.Details ?? []).Prepend(results))
        {
            if (result.Errors is not { Count: > 0 } errors)
            {
                continue;
            }

            if (problems.Count >= Most)
            {
                problems.Add(FormProblems.TooManyProblems.At(string.Empty));
                return problems;
            }

            var pointer = result.InstanceLocation.ToString();
            var path = JsonPointer.Split(pointer);
            if (errors.ContainsKey("required"))
            {
                problems.AddRange(Missing(document, pointer, path));
            }

            if (Precedence.FirstOrDefault(errors.ContainsKey) is { } keyword)
            {
                problems.Add(Problem(keyword, pointer, path));
            }
        }

        return problems;
    }

    private static EncounterProblem Problem(string keyword, string pointer, IReadOnlyList<string> path)
    {
        if (keyword.Length == 0)
        {
            // An over-long name is not repeated; its parent is pointed at.
            return FormProblems.UnknownMember.At(path[^1].Length > JsonPointer.LongestName ? pointer[..pointer.LastIndexOf('/')] : pointer);
        }

        if (pointer == "/contractVersion" && keyword is "pattern" or "maxLength")
        {
            return FormProblems.UnknownVersion.At(pointer);
        }

        var schema = SchemaWalk.At(path);
        return keyword switch
        {
            "type" => FormProblems.WrongType.At(pointer, $"Expected: {schema.GetProperty("type").GetString()}."),
            "enum" => FormProblems.NotInList.At(pointer, $"Allowed: {string.Join(", ", schema.GetProperty("enum").EnumerateArray())}."),
            "minLength" or "maxLength" => FormProblems.WrongLength.At(pointer, $"Characters: {Between(schema, "minLength", "maxLength")}."),
            "minItems" or "maxItems" => FormProblems.WrongLength.At(pointer, $"Items: {Between(schema, "minItems", "maxItems")}."),
            "minimum" or "maximum" => FormProblems.OutOfRange.At(pointer, $"Allowed: {Between(schema, "minimum", "maximum")}."),
            _ => FormProblems.WrongFormat.At(pointer, schema.TryGetProperty("description", out var words) ? words.GetString()! : string.Empty),
        };
    }

    private static string Between(JsonElement schema, string lower, string upper) =>
        $"{(schema.TryGetProperty(lower, out var least) ? least.GetRawText() : "0")} to {schema.GetProperty(upper).GetRawText()}";

    private static IEnumerable<EncounterProblem> Missing(JsonElement document, string pointer, IReadOnlyList<string> path)
    {
        var place = path.Aggregate(document, (element, part) => element.ValueKind == JsonValueKind.Array
            ? element[int.Parse(part, System.Globalization.CultureInfo.InvariantCulture)]
            : element.GetProperty(part));
        return SchemaWalk.At(path).GetProperty("required").EnumerateArray()
            .Select(name => name.GetString()!)
            .Where(name => !place.TryGetProperty(name, out _))
            .Select(name => FormProblems.MissingMember.At($"{pointer}/{name}"));
    }
}
