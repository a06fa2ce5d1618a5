using System.Text.Json;
using System.Text.Json.Serialization;

namespace EarReferral.Encounters.Reading;

/// <summary>How the model is written in JSON: members and codes in camel case, nothing left over, nothing guessed.</summary>
[JsonSourceGenerationOptions(
    PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase,
    DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
    UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow,
    MaxDepth = JsonScan.DeepestLevel,
    Converters = [typeof(CamelCaseEnumConverter), typeof(PartialDateConverter), typeof(WholeNumberConverter)])]
[JsonSerializable(typeof(ClinicEncounter))]
internal sealed partial class EncounterJson : JsonSerializerContext;

/// <summary>Enum members by their name in camel case, never by number.</summary>
internal sealed class CamelCaseEnumConverter : JsonConverterFactory
{
    private static readonly JsonStringEnumConverter Inner = new(JsonNamingPolicy.CamelCase, allowIntegerValues: false);

    public override bool CanConvert(Type typeToConvert) => typeToConvert.IsEnum;

    public override JsonConverter CreateConverter(Type typeToConvert, JsonSerializerOptions options) => Inner.CreateConverter(typeToConvert, options);
}

/// <summary>A date as exactly as known.</summary>
internal sealed class PartialDateConverter : JsonConverter<PartialDate>
{
    public override PartialDate Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
        PartialDate.TryParse(reader.GetString(), out var date) ? date : throw new JsonException("A date has no such form.");

    public override void Write(Utf8JsonWriter writer, PartialDate value, JsonSerializerOptions options) => writer.WriteStringValue(value.ToString());
}

/// <summary>A whole number in any spelling that JSON Schema calls an integer, such as <c>1.0</c>.</summary>
internal sealed class WholeNumberConverter : JsonConverter<int>
{
    public override int Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => (int)reader.GetDecimal();

    public override void Write(Utf8JsonWriter writer, int value, JsonSerializerOptions options) => writer.WriteNumberValue(value);
}
