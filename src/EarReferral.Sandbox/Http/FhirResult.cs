using System.Text.Json.Nodes;
using EarReferral.Sandbox.Transactions;

namespace EarReferral.Sandbox.Http;

/// <summary>An answer in the FHIR media type.</summary>
internal sealed class FhirResult(int status, JsonObject body, string? etag = null) : IResult
{
    public static FhirResult Problem(params Issue[] issues) => new(issues.Max(issue => issue.Status), FhirJson.OperationOutcome(issues));

    public async Task ExecuteAsync(HttpContext httpContext)
    {
        httpContext.Response.StatusCode = status;
        httpContext.Response.ContentType = $"{FhirJson.MediaType}; charset=utf-8";
        if (etag is not null)
        {
            httpContext.Response.Headers.ETag = etag;
        }

        // An empty search has no entry at all: FHIR knows no null and no empty list.
        foreach (var name in body.Where(member => member.Value is null).Select(member => member.Key).ToList())
        {
            body.Remove(name);
        }

        await httpContext.Response.WriteAsync(body.ToJsonString(), httpContext.RequestAborted);
    }
}
