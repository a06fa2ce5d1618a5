using System.Collections.Concurrent;
using System.IO.Compression;
using System.Xml;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Validation.Tests.Pack;

/// <summary>The R4 definitions as published, read entry by entry from the archive that Hl7.Fhir.Specification.Data.R4 carries.</summary>
internal sealed class SpecificationArchive
{
    private static readonly string[] Files =
    [
        "profiles-types.xml", "profiles-resources.xml", "extension-definitions.xml", "valuesets.xml", "v3-codesystems.xml", "v2-tables.xml",
    ];

    // The published definitions hold a few literals that the strict reader refuses.
    private static readonly FhirXmlDeserializer Reader = new(new DeserializerSettings().UsingMode(DeserializationMode.Ostrich));

    private readonly Dictionary<string, string> _xmlByUrl = [];
    private readonly ConcurrentDictionary<string, Resource?> _parsed = [];

    public SpecificationArchive()
    {
        using var zip = ZipFile.OpenRead(Path.Combine(AppContext.BaseDirectory, "specification.zip"));
        foreach (var file in Files)
        {
            using var stream = zip.GetEntry(file)!.Open();
            using var xml = XmlReader.Create(stream);
            while (xml.ReadToFollowing("resource", "http://hl7.org/fhir"))
            {
                var content = xml.ReadInnerXml();
                if (UrlOf(content) is { } url)
                {
                    _xmlByUrl.TryAdd(url, content);
                }
            }
        }
    }

    /// <summary>The definition with this canonical URL, or null; each call gives the same object.</summary>
    public Resource? Find(string url) =>
        _parsed.GetOrAdd(url, key => _xmlByUrl.TryGetValue(key, out var xml) ? Reader.DeserializeResource(xml) : null);

    private static string? UrlOf(string content)
    {
        using var xml = XmlReader.Create(new StringReader(content));
        xml.MoveToContent();
        if (xml.LocalName is not ("StructureDefinition" or "ValueSet" or "CodeSystem") || !xml.Read())
        {
            return null;
        }

        while (!xml.EOF)
        {
            if (xml.NodeType == XmlNodeType.Element && xml.Depth == 1)
            {
                if (xml.LocalName == "url")
                {
                    return xml.GetAttribute("value");
                }

                xml.Skip();
            }
            else
            {
                xml.Read();
            }
        }

        return null;
    }
}
