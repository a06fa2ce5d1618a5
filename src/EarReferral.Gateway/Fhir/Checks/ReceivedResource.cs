using System.Text;
using System.Text.Json;
using System.Xml;
using EarReferral.Validation;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;
using Hl7.Fhir.Utility;
using IssueSeverity = EarReferral.Validation.IssueSeverity;

namespace EarReferral.Gateway.Fhir.Checks;

/// <summary>A resource as somebody sent it for checking, read strictly.</summary>
/// <param name="Resource">What could be read; null when it is no FHIR resource at all.</param>
/// <param name="Issues">What FHIR's own syntax refuses; sentences may quote values, so they are answered and never logged.</param>
internal sealed record ReceivedResource(Resource? Resource, IReadOnlyList<ValidationIssue> Issues)
{
    private static readonly FhirJsonDeserializer Json = new();
    private static readonly FhirXmlDeserializer Xml = new();

    /// <summary>Reads JSON.</summary>
    public static ReceivedResource FromJson(ReadOnlySpan<byte> bytes)
    {
        // A byte order mark is allowed in files and is not part of the JSON.
        var json = bytes.StartsWith(Encoding.UTF8.Preamble) ? bytes[Encoding.UTF8.Preamble.Length..] : bytes;
        try
        {
            using (var probe = JsonDocument.Parse(json.ToArray()))
            {
                if (probe.RootElement.ValueKind != JsonValueKind.Object || !probe.RootElement.TryGetProperty("resourceType", out _))
                {
                    return Unreadable("The JSON is no FHIR resource: it is not an object with the member resourceType.");
                }
            }

            var reader = new Utf8JsonReader(json);
            Json.TryDeserializeResource(ref reader, out var resource, out var problems);
            return Read(resource, problems);
        }
        catch (JsonException broken)
        {
            return Unreadable($"Not well-formed JSON (line {broken.LineNumber + 1}).");
        }
    }

    /// <summary>Reads XML; a document type declaration is refused, so nothing is ever fetched or expanded.</summary>
    public static ReceivedResource FromXml(byte[] bytes)
    {
        try
        {
            // The reader of FHIR needs a node to start from, and a broken end must be found before it begins.
            using (var probe = XmlReader.Create(new MemoryStream(bytes), Strict()))
            {
                while (probe.Read())
                {
                }
            }

            using var reader = XmlReader.Create(new MemoryStream(bytes), Strict());
            Xml.TryDeserializeResource(reader, out var resource, out var problems);
            return Read(resource, problems);
        }
        catch (XmlException broken)
        {
            return Unreadable($"Not well-formed XML (line {broken.LineNumber}).");
        }
    }

    private static ReceivedResource Read(Resource? resource, IEnumerable<CodedException> problems)
    {
        var issues = problems.Select(problem => Issue(problem, resource)).ToList();
        return resource is null && issues.Count == 0 ? Unreadable("This is no FHIR R4 resource.") : new ReceivedResource(resource, issues);
    }

    private static ValidationIssue Issue(CodedException problem, Resource? resource) => new(
        IssueSeverity.Error,
        "structure",
        (problem as ExtendedCodedException)?.InstancePath is { Length: > 0 } path ? path : resource?.TypeName ?? "Resource",
        problem.ErrorCode,
        (problem as ExtendedCodedException)?.BaseErrorMessage ?? problem.Message);

    private static ReceivedResource Unreadable(string sentence) =>
        new(null, [new ValidationIssue(IssueSeverity.Error, "structure", "Resource", "unreadable", sentence)]);

    private static XmlReaderSettings Strict() => new() { DtdProcessing = DtdProcessing.Prohibit, XmlResolver = null, IgnoreComments = true, IgnoreWhitespace = true };
}
