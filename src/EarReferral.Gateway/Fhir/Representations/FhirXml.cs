using System.Text;
using System.Xml;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Gateway.Fhir.Representations;

/// <summary>The FHIR XML form.</summary>
internal static class FhirXml
{
    private static readonly FhirXmlSerializer Serializer = new();

    /// <summary>UTF-8 XML of a resource, without byte order mark.</summary>
    public static byte[] Bytes(Resource resource, bool isPretty = false)
    {
        using var memory = new MemoryStream();
        using (var writer = XmlWriter.Create(memory, new XmlWriterSettings { Encoding = new UTF8Encoding(encoderShouldEmitUTF8Identifier: false), Indent = isPretty }))
        {
            Serializer.Serialize(resource, writer);
        }

        return memory.ToArray();
    }
}
