using System.Globalization;
using Hl7.Fhir.Model;

namespace EarReferral.Gateway.Fhir;

/// <summary>Answers with a resource, its status and, for a stored version, its ETag.</summary>
internal sealed class FhirResult(int status, byte[] body, string? versionId = null, DateTimeOffset? lastUpdated = null) : IResult
{
    /// <summary>Answers with an error that the caller can act on.</summary>
    public static FhirResult Error(int status, OperationOutcome.IssueType code, string sentence, string? expression = null) =>
        new(status, FhirJson.Bytes(Outcome.Error(code, sentence, expression)));

    /// <summary>Answers with a resource.</summary>
    public static FhirResult Ok(Resource resource) => new(StatusCodes.Status200OK, FhirJson.Bytes(resource));

    /// <inheritdoc />
    public async System.Threading.Tasks.Task ExecuteAsync(HttpContext httpContext)
    {
        var response = httpContext.Response;
        if (versionId is not null)
        {
            response.Headers.ETag = $"W/\"{versionId}\"";
        }

        if (lastUpdated is { } changed)
        {
            response.Headers.LastModified = changed.ToUniversalTime().ToString("R", CultureInfo.InvariantCulture);
        }

        response.StatusCode = status;
        response.ContentType = $"{FhirJson.MediaType}; charset=utf-8";
        response.ContentLength = body.Length;
        if (!HttpMethods.IsHead(httpContext.Request.Method))
        {
            await response.Body.WriteAsync(body, httpContext.RequestAborted);
        }
    }
}
