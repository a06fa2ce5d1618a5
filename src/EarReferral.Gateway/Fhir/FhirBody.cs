using EarReferral.Gateway.Fhir.Checks;
using EarReferral.Gateway.Fhir.Representations;
using Hl7.Fhir.Model;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir;

/// <summary>Reads the body of a request as the resource that is expected there, JSON or XML.</summary>
internal static class FhirBody
{
    /// <summary>The resource, or the refusal; neither when there is no body.</summary>
    public static async Task<(T? Resource, FhirResult? Refusal)> ReadAsync<T>(HttpContext context)
        where T : Resource
    {
        using var memory = new MemoryStream();
        await context.Request.Body.CopyToAsync(memory, context.RequestAborted);
        if (memory.Length == 0)
        {
            return (null, null);
        }

        var received = Read(context.Request.ContentType, memory.ToArray());
        return received switch
        {
            { Resource: T expected, Issues.Count: 0 } => (expected, null),
            { Resource: not T and not null } => (null, FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Structure, $"The body must be a {typeof(T).Name}.")),
            _ => (null, FhirResult.Of(StatusCodes.Status400BadRequest, ResourceCheck.Outcome(new Validation.ValidationReport(received.Issues), typeof(T).Name))),
        };
    }

    /// <summary>What the bytes are, by their media type.</summary>
    public static ReceivedResource Read(string? contentType, byte[] body) =>
        FhirMediaType.Of(contentType) is { Format: FhirFormat.Xml } ? ReceivedResource.FromXml(body) : ReceivedResource.FromJson(body);
}
