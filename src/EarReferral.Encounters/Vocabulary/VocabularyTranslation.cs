using System.Globalization;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Encounters.Findings;
using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Vocabulary;

/// <summary>Puts the contract's codes in place of a clinic's own before anything else reads the document. Nothing is guessed.</summary>
/// <remarks>
/// Only members that the schema gives a closed list are touched. A code without counterpart refuses the document where the
/// member is required, states a side, belongs to the procedure, is read by a red-flag rule, or states no finding that could
/// carry the code; elsewhere the member is left out, which means not asked, and the code is kept beside the document.
/// </remarks>
internal sealed class VocabularyTranslation
{
    private const string Definition = "#/$defs/";

    private readonly ClinicVocabulary vocabulary;
    private readonly List<LocalCode> codes = [];
    private readonly List<EncounterProblem> problems = [];

    private VocabularyTranslation(ClinicVocabulary vocabulary) => this.vocabulary = vocabulary;

    /// <summary>The document in the contract's codes, the codes that stood there, and what could not be translated.</summary>
    /// <param name="document">A well-formed document.</param>
    /// <param name="vocabularies">Every vocabulary that is configured.</param>
    public static (ReadOnlyMemory<byte> Document, IReadOnlyList<LocalCode> Codes, IReadOnlyList<EncounterProblem> Problems) Translate(
        ReadOnlyMemory<byte> document, IReadOnlyList<ClinicVocabulary> vocabularies)
    {
        using var json = JsonDocument.Parse(document, new JsonDocumentOptions { MaxDepth = JsonScan.DeepestLevel });
        if (json.RootElement.ValueKind != JsonValueKind.Object || !json.RootElement.TryGetProperty("vocabulary", out var use) || use.ValueKind != JsonValueKind.Object)
        {
            return (document, [], []);
        }

        var (clinic, system, version) = (Text(json.RootElement, "clinic", "id"), Text(use, "system"), Text(use, "version"));
        if (clinic is null || system is null || version is null)
        {
            // The schema says what is missing.
            return (document, [], []);
        }

        if (vocabularies.FirstOrDefault(each => each.ClinicId == clinic && each.System == system && each.Version == version) is not { } vocabulary)
        {
            return (document, [], [new EncounterProblem(VocabularyProblems.Unknown.Id, "/vocabulary", VocabularyProblems.Unknown.Sentence)]);
        }

        var translation = new VocabularyTranslation(vocabulary);
        var tree = JsonNode.Parse(document.Span, documentOptions: new JsonDocumentOptions { MaxDepth = JsonScan.DeepestLevel })!.AsObject();
        translation.Object(tree, SchemaWalk.Root, []);
        return (Encoding.UTF8.GetBytes(tree.ToJsonString()), translation.codes, translation.problems);
    }

    private static string? Text(JsonElement element, params ReadOnlySpan<string> path)
    {
        foreach (var name in path)
        {
            if (element.ValueKind != JsonValueKind.Object || !element.TryGetProperty(name, out element))
            {
                return null;
            }
        }

        return element.ValueKind == JsonValueKind.String ? element.GetString() : null;
    }

    private void Object(JsonObject tree, JsonElement schema, IReadOnlyList<string> path)
    {
        if (!schema.TryGetProperty("properties", out var members))
        {
            return;
        }

        var required = schema.TryGetProperty("required", out var names) ? names.EnumerateArray().Select(name => name.GetString()).ToHashSet(StringComparer.Ordinal) : [];
        foreach (var (name, value) in tree.ToList())
        {
            if (members.TryGetProperty(name, out var member)
                && Node(value, member, [.. path, name], mayGo: !required.Contains(name)) is { } outcome)
            {
                if (outcome.Code is { } code)
                {
                    tree[name] = code;
                }
                else
                {
                    tree.Remove(name);
                }
            }
        }
    }

    /// <summary>Null to leave the node as it is; otherwise what takes its place, or nothing.</summary>
    private Outcome? Node(JsonNode? node, JsonElement member, IReadOnlyList<string> path, bool mayGo)
    {
        var list = member.TryGetProperty("$ref", out var reference) ? reference.GetString()![Definition.Length..] : null;
        var schema = list is null ? member : SchemaWalk.Root.GetProperty("$defs").GetProperty(list);
        switch (node)
        {
            case JsonObject tree:
                Object(tree, schema, path);
                return null;
            case JsonArray array when schema.TryGetProperty("items", out var items):
                for (var index = 0; index < array.Count; index++)
                {
                    // An item cannot go: its place in the list would be another's.
                    if (Node(array[index], items, [.. path, index.ToString(CultureInfo.InvariantCulture)], mayGo: false) is { Code: { } code })
                    {
                        array[index] = code;
                    }
                }

                return null;
            case JsonValue value when list is not null && schema.TryGetProperty("enum", out var allowed) && value.TryGetValue<string>(out var local):
                return Coded(local, list, allowed, new MemberPlace(path), mayGo);
            default:
                return null;
        }
    }

    private Outcome? Coded(string local, string list, JsonElement allowed, MemberPlace place, bool mayGo)
    {
        var contract = allowed.EnumerateArray().Select(code => code.GetString()!).ToList();
        var isDecisive = list == "earSide" || place.IsOfProcedure || (place.Finding is { } read && vocabulary.RuleInputs.Contains(read));
        LocalMeaning? meaning = null;
        if (vocabulary.Lists.TryGetValue(Naming.Kebab(list), out var codesOfList))
        {
            meaning = codesOfList.GetValueOrDefault(local);
        }
        else if (contract.Contains(local))
        {
            return null;
        }

        var code = meaning is { Code: { } target } && (meaning.IsExact || !isDecisive) ? contract.FirstOrDefault(each => Naming.Kebab(each) == target) : null;
        if (code is null && (isDecisive || !mayGo || place.Finding is null))
        {
            problems.Add(new EncounterProblem(VocabularyProblems.Unmapped.Id, place.Pointer, VocabularyProblems.Unmapped.Sentence));
            return null;
        }

        codes.Add(new LocalCode(place.Pointer, local, meaning?.Display, place.Finding, place.Ear, place.IsAfter, code));
        return new Outcome(code);
    }

    private sealed record Outcome(string? Code);
}
