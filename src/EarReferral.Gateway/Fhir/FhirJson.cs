using System.Text.Json;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Gateway.Fhir;

/// <summary>The FHIR JSON form and its media type.</summary>
internal static class FhirJson
{
    public const string MediaType = "application/fhir+json";

    private static readonly JsonSerializerOptions Compact = new JsonSerializerOptions().ForFhir(ModelInfo.ModelInspector);

    /// <summary>UTF-8 JSON of a resource.</summary>
    public static byte[] Bytes(Resource resource) => JsonSerializer.SerializeToUtf8Bytes(resource, Compact);

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
