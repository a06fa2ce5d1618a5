using System.Globalization;
using Microsoft.Net.Http.Headers;

namespace EarReferral.Gateway.Fhir.Representations;

/// <summary>Media types of FHIR R4: its own, the generic ones, and those of before R4.</summary>
internal static class FhirMediaType
{
    public const string Json = "application/fhir+json";
    public const string Xml = "application/fhir+xml";

    /// <summary>Form of a media type and the type to answer with; null when it is not one of FHIR's, or of another FHIR version.</summary>
    public static (FhirFormat Format, string MediaType)? Of(MediaTypeHeaderValue type) => IsR4(type)
        ? type.MediaType.Value?.ToLower(CultureInfo.InvariantCulture) switch
        {
            Json or "application/json+fhir" => (FhirFormat.Json, Json),
            "application/json" => (FhirFormat.Json, "application/json"),
            "text/json" => (FhirFormat.Json, "text/json"),
            Xml or "application/xml+fhir" => (FhirFormat.Xml, Xml),
            "application/xml" => (FhirFormat.Xml, "application/xml"),
            "text/xml" => (FhirFormat.Xml, "text/xml"),
            _ => null,
        }
        : null;

    /// <summary>The same for a header as it was sent.</summary>
    public static (FhirFormat Format, string MediaType)? Of(string? header) => MediaTypeHeaderValue.TryParse(header, out var type) ? Of(type) : null;

    /// <summary>True unless the parameter fhirVersion names another version than R4.</summary>
    public static bool IsR4(MediaTypeHeaderValue type) =>
        type.Parameters.Where(parameter => parameter.Name.Equals("fhirVersion", StringComparison.OrdinalIgnoreCase)).All(parameter => parameter.Value.Value?.Trim('"') is "4.0" or "4.0.1");
}
