using System.IO.Compression;
using System.Xml;
using System.Xml.Schema;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Mapping.Tests.Support;

/// <summary>The XML Schema that HL7 publishes for FHIR R4: a check of structure that shares no code with the product's own library.</summary>
internal static class R4Schema
{
    private static readonly Lazy<XmlSchemaSet> Schemas = new(Load);

    /// <summary>Everything the schema objects to in the XML form of a resource.</summary>
    public static IReadOnlyList<string> Problems(Resource resource) => Problems(new FhirXmlSerializer().SerializeToString(resource));

    /// <summary>Everything the schema objects to in a resource written as XML.</summary>
    public static IReadOnlyList<string> Problems(string xml)
    {
        var problems = new List<string>();
        var settings = new XmlReaderSettings { ValidationType = ValidationType.Schema, Schemas = Schemas.Value };
        settings.ValidationEventHandler += (_, problem) => problems.Add($"{problem.Severity}: {problem.Message}");
        using var text = new StringReader(xml);
        using var reader = XmlReader.Create(text, settings);
        while (reader.Read())
        {
        }

        return problems;
    }

    private static XmlSchemaSet Load()
    {
        // The package Hl7.Fhir.Specification.Data.R4 puts specification.zip beside the test.
        using var zip = ZipFile.OpenRead(Path.Combine(AppContext.BaseDirectory, "specification.zip"));
        var schemas = new XmlSchemaSet { XmlResolver = new ZipResolver(zip) };
        using var stream = zip.GetEntry("fhir-single.xsd")!.Open();
        using var reader = XmlReader.Create(stream, new XmlReaderSettings { DtdProcessing = DtdProcessing.Parse }, "zip:///fhir-single.xsd");
        schemas.Add(null, reader);
        schemas.Compile();
        return schemas;
    }

    private sealed class ZipResolver(ZipArchive zip) : XmlResolver
    {
        public override object GetEntity(Uri absoluteUri, string? role, Type? ofObjectToReturn)
        {
            var name = Path.GetFileName(absoluteUri.AbsolutePath);
            using var entry = (zip.GetEntry(name) ?? throw new FileNotFoundException(name)).Open();
            var copy = new MemoryStream();
            entry.CopyTo(copy);
            copy.Position = 0;
            return copy;
        }
    }
}
