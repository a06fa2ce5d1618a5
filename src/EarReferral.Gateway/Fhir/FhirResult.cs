using System.Globalization;
using System.Text;
using EarReferral.Gateway.Fhir.Representations;
using EarReferral.Storage.Resources;
using Hl7.Fhir.Model;

namespace EarReferral.Gateway.Fhir;

/// <summary>An answer with a resource, its status and, for a stored version, its ETag; written as the caller wants it.</summary>
internal sealed class FhirResult : IResult
{
    // What is stored is JSON: answered as that it need not be read.
    private readonly string? json;
    private Resource? resource;

    private FhirResult(int status, Resource? resource, string? json = null)
    {
        Status = status;
        this.resource = resource;
        this.json = json;
    }

    /// <summary>HTTP status.</summary>
    public int Status { get; }

    /// <summary>The resource; null for 304.</summary>
    public Resource? Resource => resource ??= json is null ? null : FhirJson.Read(Encoding.UTF8.GetBytes(json)).Resource;

    /// <summary>The tag that a conditional request names.</summary>
    public string? Tag { get; private init; }

    /// <summary>When the version was stored.</summary>
    public DateTimeOffset? LastUpdated { get; private init; }

    /// <summary>Seconds after which trying again may help.</summary>
    public int? RetryAfter { get; private set; }

    /// <summary>Answers with an error that the caller can act on.</summary>
    public static FhirResult Error(int status, OperationOutcome.IssueType code, string sentence, string? expression = null) =>
        new(status, Outcome.Error(code, sentence, expression));

    /// <summary>Answers with a resource.</summary>
    public static FhirResult Ok(Resource resource, string? tag = null) => new(StatusCodes.Status200OK, resource) { Tag = tag };

    /// <summary>Answers with a resource under a status.</summary>
    public static FhirResult Of(int status, Resource resource) => new(status, resource);

    /// <summary>Answers with a stored version, or the part of it that is asked for.</summary>
    public static FhirResult Of(StoredResource stored, Subset? subset = null) => subset is null or { IsWhole: true }
        ? new FhirResult(StatusCodes.Status200OK, null, stored.Json) { Tag = Version(stored), LastUpdated = stored.LastUpdated }
        : new FhirResult(StatusCodes.Status200OK, subset.Apply(stored.Parse())) { Tag = Version(stored), LastUpdated = stored.LastUpdated };

    /// <summary>The caller has this version already.</summary>
    public static FhirResult NotModified(string tag, DateTimeOffset? lastUpdated) => new(StatusCodes.Status304NotModified, null) { Tag = tag, LastUpdated = lastUpdated };

    /// <summary>Says when trying again may help.</summary>
    public FhirResult After(int seconds)
    {
        RetryAfter = seconds;
        return this;
    }

    /// <inheritdoc />
    public async System.Threading.Tasks.Task ExecuteAsync(HttpContext httpContext)
    {
        var response = httpContext.Response;
        response.StatusCode = Status;
        response.Headers.Vary = "Accept";
        if (Tag is not null)
        {
            response.Headers.ETag = $"W/\"{Tag}\"";
        }

        if (LastUpdated is { } changed)
        {
            response.Headers.LastModified = changed.ToUniversalTime().ToString("R", CultureInfo.InvariantCulture);
        }

        if (RetryAfter is { } seconds)
        {
            response.Headers.RetryAfter = seconds.ToString(CultureInfo.InvariantCulture);
        }

        if (Status == StatusCodes.Status304NotModified)
        {
            return;
        }

        var form = httpContext.Features.Get<Representation>() ?? Representation.Default;
        var body = form switch
        {
            { Format: FhirFormat.Xml } => FhirXml.Bytes(Resource!, form.IsPretty),
            { IsPretty: false } when json is not null => Encoding.UTF8.GetBytes(json),
            _ => FhirJson.Bytes(Resource!, form.IsPretty),
        };
        response.ContentType = $"{form.MediaType}; charset=utf-8";
        response.ContentLength = body.Length;
        if (!HttpMethods.IsHead(httpContext.Request.Method))
        {
            await response.Body.WriteAsync(body, httpContext.RequestAborted);
        }
    }

    private static string Version(StoredResource stored) => stored.Version.ToString(CultureInfo.InvariantCulture);
}
