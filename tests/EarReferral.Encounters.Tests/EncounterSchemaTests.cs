using System.Reflection;
using System.Runtime.CompilerServices;
using System.Text.Json;
using EarReferral.Testing;

namespace EarReferral.Encounters.Tests;

/// <summary>The hand-written schema and the model agree: member by member, required by required, code by code.</summary>
public sealed class EncounterSchemaTests
{
    private static readonly JsonElement Root = JsonDocument.Parse(EncounterSchema.Text).RootElement;
    private static readonly NullabilityInfoContext Nullability = new();

    [Fact]
    public void The_embedded_text_is_the_committed_file_and_names_itself()
    {
        Assert.Equal(File.ReadAllText(Repository.At("src", "EarReferral.Encounters", "encounter-v1.schema.json")), EncounterSchema.Text);
        Assert.Equal(EncounterSchema.Id.OriginalString, Root.GetProperty("$id").GetString());
        Assert.Equal("https://json-schema.org/draft/2020-12/schema", Root.GetProperty("$schema").GetString());
    }

    [Fact]
    public void Every_record_of_the_model_agrees_with_its_definition()
    {
        var seen = new Dictionary<Type, JsonElement>();
        CheckRecord(typeof(ClinicEncounter), Root, seen);

        string[] types = [.. seen.Keys.Where(type => type != typeof(ClinicEncounter)).Select(type => JsonNamingPolicy.CamelCase.ConvertName(type.Name))];
        string[] simple = ["words", "name", "instant", "fullDate", "partialDate"];
        Assert.Equal(types.Concat(simple).Order(StringComparer.Ordinal), Root.GetProperty("$defs").EnumerateObject().Select(definition => definition.Name).Order(StringComparer.Ordinal));
    }

    [Fact]
    public void Every_member_is_described_and_every_text_number_and_list_is_bounded()
    {
        foreach (var definition in Root.GetProperty("$defs").EnumerateObject().Select(definition => definition.Value).Append(Root))
        {
            Assert.True(definition.TryGetProperty("description", out _));
            Assert.All(definition.TryGetProperty("properties", out var members) ? members.EnumerateObject() : [], member => Assert.True(member.Value.TryGetProperty("description", out _), member.Name));
        }

        AllSchemas(Root, schema =>
        {
            var bounded = schema.GetProperty("type").GetString() switch
            {
                "string" => schema.TryGetProperty("enum", out _) || (schema.TryGetProperty("maxLength", out _) && schema.TryGetProperty("pattern", out _)),
                "number" or "integer" => schema.TryGetProperty("enum", out _) || (schema.TryGetProperty("minimum", out _) && schema.TryGetProperty("maximum", out _)),
                "array" => schema.TryGetProperty("maxItems", out _),
                "object" => schema.GetProperty("additionalProperties").ValueKind == JsonValueKind.False,
                _ => true,
            };
            Assert.True(bounded, schema.GetRawText());
        });
    }

    private static void AllSchemas(JsonElement element, Action<JsonElement> check)
    {
        if (element.ValueKind != JsonValueKind.Object)
        {
            return;
        }

        if (element.TryGetProperty("type", out var type) && type.ValueKind == JsonValueKind.String)
        {
            check(element);
        }

        foreach (var member in element.EnumerateObject())
        {
            AllSchemas(member.Value, check);
        }
    }

    private static void CheckRecord(Type record, JsonElement schema, Dictionary<Type, JsonElement> seen)
    {
        if (!seen.TryAdd(record, schema))
        {
            return;
        }

        var members = record.GetProperties().Where(member => member.CanWrite && !member.IsDefined(typeof(System.Text.Json.Serialization.JsonIgnoreAttribute))).ToDictionary(member => JsonNamingPolicy.CamelCase.ConvertName(member.Name), StringComparer.Ordinal);
        var described = schema.GetProperty("properties").EnumerateObject().ToDictionary(member => member.Name, member => member.Value, StringComparer.Ordinal);
        Assert.Equal(members.Keys.Order(StringComparer.Ordinal), described.Keys.Order(StringComparer.Ordinal));

        var required = schema.TryGetProperty("required", out var names) ? names.EnumerateArray().Select(name => name.GetString()!).ToArray() : [];
        var demanded = members.Where(member => member.Value.IsDefined(typeof(RequiredMemberAttribute))).Select(member => member.Key);
        Assert.Equal(demanded.Order(StringComparer.Ordinal), required.Order(StringComparer.Ordinal));

        foreach (var (name, member) in members)
        {
            // What may be left out can be told from a value: it is nullable, a list that is empty, or a mark that is false.
            var optional = Nullability.Create(member).WriteState == NullabilityState.Nullable;
            var list = member.PropertyType.IsGenericType && member.PropertyType.GetGenericTypeDefinition() == typeof(IReadOnlyList<>);
            Assert.True(required.Contains(name) != optional || list || member.PropertyType == typeof(bool), $"{record.Name}.{member.Name}");
            CheckValue(Nullable.GetUnderlyingType(member.PropertyType) ?? member.PropertyType, described[name], $"{record.Name}.{member.Name}", seen);
        }
    }

    private static void CheckValue(Type type, JsonElement schema, string place, Dictionary<Type, JsonElement> seen)
    {
        var reference = schema.TryGetProperty("$ref", out var named) ? named.GetString()!["#/$defs/".Length..] : null;
        var target = reference is null ? schema : Root.GetProperty("$defs").GetProperty(reference);
        if (type.IsGenericType)
        {
            Assert.Equal("array", target.GetProperty("type").GetString());
            CheckValue(type.GetGenericArguments()[0], target.GetProperty("items"), place, seen);
        }
        else if (type.IsEnum)
        {
            seen.TryAdd(type, target);
            Assert.Equal(JsonNamingPolicy.CamelCase.ConvertName(type.Name), reference);
            Assert.Equal(Enum.GetNames(type).Select(JsonNamingPolicy.CamelCase.ConvertName), target.GetProperty("enum").EnumerateArray().Select(code => code.GetString()!));
        }
        else if (type.IsClass && type != typeof(string))
        {
            Assert.Equal(JsonNamingPolicy.CamelCase.ConvertName(type.Name), reference);
            CheckRecord(type, target, seen);
        }
        else if (type == typeof(DateTimeOffset) || type == typeof(DateOnly) || type == typeof(PartialDate))
        {
            Assert.Equal(type == typeof(DateTimeOffset) ? "instant" : type == typeof(DateOnly) ? "fullDate" : "partialDate", reference);
        }
        else
        {
            var expected = type == typeof(string) ? "string" : type == typeof(int) ? "integer" : type == typeof(decimal) ? "number" : "boolean";
            Assert.True(expected == target.GetProperty("type").GetString(), place);
        }
    }
}
