using System.Text.Json;
using System.Text.Json.Serialization;

namespace EarReferral.Encounters.Tests.Reading;

/// <summary>The model read by System.Text.Json: what our own reading of it has to agree with.</summary>
internal static class LibraryReading
{
    private static readonly JsonSerializerOptions Options = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow,
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.CamelCase, allowIntegerValues: false), new PartialDateConverter(), new WholeNumberConverter() },
    };

    public static ClinicEncounter Read(JsonElement document) => document.Deserialize<ClinicEncounter>(Options)!;

    /// <summary>The model written out, so that two of them can be compared member by member.</summary>
    public static string Write(ClinicEncounter encounter) => JsonSerializer.Serialize(encounter, Options);

    private sealed class PartialDateConverter : JsonConverter<PartialDate>
    {
        public override PartialDate Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
            PartialDate.TryParse(reader.GetString(), out var date) ? date : throw new JsonException("A date has no such form.");

        public override void Write(Utf8JsonWriter writer, PartialDate value, JsonSerializerOptions options) => writer.WriteStringValue(value.ToString());
    }

    /// <summary>A whole number in any spelling that JSON Schema calls an integer, such as <c>1.0</c>.</summary>
    private sealed class WholeNumberConverter : JsonConverter<int>
    {
        public override int Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => (int)reader.GetDecimal();

        public override void Write(Utf8JsonWriter writer, int value, JsonSerializerOptions options) => writer.WriteNumberValue(value);
    }
}
