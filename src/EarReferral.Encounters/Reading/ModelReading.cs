using System.Collections.Concurrent;
using System.Reflection;
using System.Text.Json;

namespace EarReferral.Encounters.Reading;

/// <summary>Turns a document that the schema has passed into the model: members and codes in camel case.</summary>
/// <remarks>
/// System.Text.Json would read it too, and a test holds the two together. But it makes some forty methods for each of the sixty closed
/// lists of the contract, which the runtime compiles at every start: a second of processor time before the first encounter (docs/performance.md).
/// Because the schema has been asked before, a member without a property or a value of another kind is a fault of ours and throws.
/// </remarks>
internal static class ModelReading
{
    private static readonly ConcurrentDictionary<Type, Func<JsonElement, object>> Readers = new(
        new Dictionary<Type, Func<JsonElement, object>>
        {
            [typeof(string)] = static element => element.GetString()!,
            [typeof(bool)] = static element => element.GetBoolean(),
            [typeof(decimal)] = static element => element.GetDecimal(),

            // JSON Schema calls 1.0 an integer, so the contract does.
            [typeof(int)] = static element => (int)element.GetDecimal(),
            [typeof(DateTimeOffset)] = static element => element.GetDateTimeOffset(),
            [typeof(DateOnly)] = static element => DateOnly.ParseExact(element.GetString()!, "yyyy-MM-dd", System.Globalization.CultureInfo.InvariantCulture),
            [typeof(PartialDate)] = static element => PartialDate.TryParse(element.GetString(), out var date) ? date : throw new InvalidDataException("A date has no such form."),
        });

    /// <summary>The encounter in <paramref name="document"/>.</summary>
    /// <exception cref="InvalidDataException">The document is not one that the schema allows.</exception>
    public static ClinicEncounter Read(JsonElement document) => (ClinicEncounter)ReaderOf(typeof(ClinicEncounter))(document);

    private static Func<JsonElement, object> ReaderOf(Type type) => Readers.GetOrAdd(type, static type =>
        Nullable.GetUnderlyingType(type) is { } underlying ? ReaderOf(underlying)
        : type.IsEnum ? OfCode(type)
        : type.IsGenericType && type.GetGenericTypeDefinition() == typeof(IReadOnlyList<>) ? OfList(type.GenericTypeArguments[0])
        : OfRecord(type));

    private static Func<JsonElement, object> OfCode(Type type)
    {
        var members = Enum.GetNames(type).ToDictionary(JsonNamingPolicy.CamelCase.ConvertName, name => Enum.Parse(type, name), StringComparer.Ordinal);
        return element => members.GetValueOrDefault(element.GetString()!) ?? throw new InvalidDataException($"{type.Name} has no such code.");
    }

    private static Func<JsonElement, object> OfList(Type item) => element =>
    {
        var read = ReaderOf(item);
        var items = Array.CreateInstance(item, element.GetArrayLength());
        foreach (var (index, entry) in element.EnumerateArray().Index())
        {
            items.SetValue(read(entry), index);
        }

        return items;
    };

    private static Func<JsonElement, object> OfRecord(Type type)
    {
        var members = type.GetProperties(BindingFlags.Public | BindingFlags.Instance)
            .Where(property => property.SetMethod is not null && !property.IsDefined(typeof(System.Text.Json.Serialization.JsonIgnoreAttribute)))
            .ToDictionary(property => JsonNamingPolicy.CamelCase.ConvertName(property.Name), StringComparer.Ordinal);
        return element =>
        {
            var made = Activator.CreateInstance(type)!;
            foreach (var member in element.EnumerateObject())
            {
                var property = members.GetValueOrDefault(member.Name) ?? throw new InvalidDataException($"{type.Name} has no such member.");
                property.SetValue(made, ReaderOf(property.PropertyType)(member.Value));
            }

            return made;
        };
    }
}
