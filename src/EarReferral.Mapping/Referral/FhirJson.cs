using System.Text.Json;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Mapping.Referral;

/// <summary>The one place that writes resources as bytes; the same resource always gives the same bytes.</summary>
public static class FhirJson
{
    private static readonly JsonSerializerOptions Options = new JsonSerializerOptions().ForFhir(ModelInfo.ModelInspector);

    /// <summary>UTF-8 JSON without indentation.</summary>
    public static byte[] Serialise(Resource resource) => JsonSerializer.SerializeToUtf8Bytes(resource, Options);
}
