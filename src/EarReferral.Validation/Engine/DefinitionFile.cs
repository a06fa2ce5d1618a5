using System.IO.Compression;
using System.Text;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Validation.Engine;

/// <summary>Reads definitions from a file's bytes.</summary>
internal static class DefinitionFile
{
    // The published R4 definitions hold a few literals that the strict reader refuses, so definitions are read leniently; instances never pass here.
    private static readonly FhirJsonDeserializer Reader = new(new DeserializerSettings().UsingMode(DeserializationMode.Ostrich));

    /// <summary>The resources in a file; <c>.json</c> is one, <c>.ndjson</c> one per line, <c>.gz</c> is unpacked first.</summary>
    /// <exception cref="InvalidDataException">The content is not what the name says.</exception>
    public static IEnumerable<Resource> Read(string name, byte[] content)
    {
        if (name.EndsWith(".gz", StringComparison.Ordinal))
        {
            using var packed = new GZipStream(new MemoryStream(content), CompressionMode.Decompress);
            using var plain = new MemoryStream();
            packed.CopyTo(plain);
            return Read(name[..^3], plain.ToArray());
        }

        var text = Encoding.UTF8.GetString(content);
        return name switch
        {
            _ when name.EndsWith(".ndjson", StringComparison.Ordinal) => [.. text.Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(line => Parse(name, line))],
            _ when name.EndsWith(".json", StringComparison.Ordinal) => [Parse(name, text)],
            _ => throw new InvalidDataException($"{name} is neither .json nor .ndjson."),
        };
    }

    private static Resource Parse(string name, string json)
    {
        try
        {
            return Reader.DeserializeResource(json);
        }
        catch (DeserializationFailedException failure)
        {
            throw new InvalidDataException($"{name} does not hold FHIR definitions: {failure.Message}", failure);
        }
    }
}
