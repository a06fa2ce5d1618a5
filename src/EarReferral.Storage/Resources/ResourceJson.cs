using System.Security.Cryptography;
using System.Text.Json;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Storage.Resources;

/// <summary>Resources as FHIR JSON.</summary>
internal static class ResourceJson
{
    private static readonly JsonSerializerOptions Options = new JsonSerializerOptions().ForFhir(ModelInfo.ModelInspector);

    public static Resource Parse(string json) =>
        JsonSerializer.Deserialize<Resource>(json, Options) ?? throw new InvalidOperationException("The stored resource is empty.");

    /// <summary>JSON of the resource as the given version.</summary>
    public static string Write(Resource resource, int version, DateTimeOffset lastUpdated)
    {
        var copy = (Resource)resource.DeepCopy();
        copy.Meta ??= new Meta();
        copy.Meta.VersionId = version.ToString(System.Globalization.CultureInfo.InvariantCulture);
        copy.Meta.LastUpdated = lastUpdated;
        return JsonSerializer.Serialize(copy, Options);
    }

    /// <summary>Hash of everything but the version and the time it was stored, by which two versions count as the same.</summary>
    public static string ContentSha256(Resource resource)
    {
        var copy = (Resource)resource.DeepCopy();
        if (copy.Meta is { } meta)
        {
            meta.VersionId = null;
            meta.LastUpdated = null;
        }

        return Convert.ToHexStringLower(SHA256.HashData(JsonSerializer.SerializeToUtf8Bytes(copy, Options)));
    }
}
