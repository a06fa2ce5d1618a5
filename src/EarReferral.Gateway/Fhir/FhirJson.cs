using System.Text.Json;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Gateway.Fhir;

/// <summary>The FHIR JSON form.</summary>
internal static class FhirJson
{
    private static readonly JsonSerializerOptions Compact = new JsonSerializerOptions().ForFhir(ModelInfo.ModelInspector);
    private static readonly JsonSerializerOptions Indented = new JsonSerializerOptions { WriteIndented = true }.ForFhir(ModelInfo.ModelInspector);

    /// <summary>UTF-8 JSON of a resource.</summary>
    public static byte[] Bytes(Resource resource, bool isPretty = false) => JsonSerializer.SerializeToUtf8Bytes(resource, isPretty ? Indented : Compact);

    /// <summary>Reads a resource, or says in FHIR's own words why it cannot be read.</summary>
    public static (Resource? Resource, string? Problem) Read(ReadOnlySpan<byte> json)
    {
        try
        {
            return (JsonSerializer.Deserialize<Resource>(json, Compact), null);
        }
        catch (DeserializationFailedException unreadable)
        {
            return (null, string.Join("; ", unreadable.Exceptions.Select(problem => problem.ErrorCode).Distinct()));
        }
        catch (JsonException)
        {
            return (null, "not well-formed JSON");
        }
    }
}
