using System.Globalization;
using System.Text;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Fhir.Checks;
using EarReferral.Gateway.Fhir.Terminology;
using EarReferral.Gateway.Intake;
using EarReferral.Gateway.Referrals;
using EarReferral.Storage.Resources;
using Microsoft.Extensions.Options;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir;

/// <summary>The FHIR R4 face: read, version read, search, the summary document, and reports on Tasks.</summary>
internal static class FhirEndpoints
{
    /// <summary>Maps the addresses.</summary>
    public static void MapFhir(this IEndpointRouteBuilder routes)
    {
        var fhir = routes.MapGroup("/fhir").WithTags("FHIR R4");
        fhir.MapGet("/metadata", (IOptions<GatewayOptions> gateway) => FhirResult.Ok(Capability.Statement(gateway.Value.PublicBaseUrl)))
            .WithSummary("What this server can do, derived from what it does.");
        fhir.MapMethods("/{type}/{id}", [HttpMethods.Get, HttpMethods.Head], ReadAsync)
            .WithSummary("Read the current version of a resource.");
        fhir.MapMethods("/{type}/{id}/_history/{version:int}", [HttpMethods.Get, HttpMethods.Head], ReadVersionAsync)
            .WithSummary("Read one version of a resource.");
        fhir.MapGet("/{type}", (string type, HttpContext context, FhirSearch search) => search.AnswerAsync(type, Pairs(context.Request.Query), context))
            .WithSummary("Search.");
        fhir.MapPost("/{type}/_search", SearchByPostAsync)
            .WithSummary("Search with the parameters in the body, which keeps identifiers out of addresses.")
            .Accepts<IFormCollection>("application/x-www-form-urlencoded")
            .DisableAntiforgery();
        fhir.MapGet("/Composition/{id}/$document", SummaryDocument.AnswerAsync)
            .WithSummary("The GP summary as a FHIR document with everything it refers to.");
        fhir.MapPost("/{type}/$validate", ValidateOperation.AnswerAsync)
            .WithSummary("Judge a resource by the profile it claims, or by the one named; 200 whether valid or not. Stores nothing.");
        fhir.MapTerminology();
        fhir.MapPut("/Task", TaskUpdateEndpoint.PutByIdentifierAsync)
            .WithSummary("The same, the Task named by ?identifier=system|value.");
        fhir.MapPut("/Task/{id}", TaskUpdateEndpoint.PutAsync)
            .WithSummary("A receiver reports how far the work is; If-Match required.");
    }

    private static async Task<IResult> ReadAsync(string type, string id, HttpContext context, ResourceStore resources) =>
        Found(type, id, await resources.ReadAsync(Callers.FhirClient(context), type, id, context.RequestAborted), context);

    private static async Task<IResult> ReadVersionAsync(string type, string id, int version, HttpContext context, ResourceStore resources) =>
        Found(type, id, await resources.ReadVersionAsync(Callers.FhirClient(context), type, id, version, context.RequestAborted), context);

    private static IResult Found(string type, string id, StoredResource? stored, HttpContext context)
    {
        if (stored is null)
        {
            return FhirResult.Error(StatusCodes.Status404NotFound, IssueType.NotFound, Capability.Types.Contains(type) ? $"There is no {type} with this id." : "This resource type is not served.");
        }

        var version = stored.Version.ToString(CultureInfo.InvariantCulture);
        if (context.Request.Headers.IfNoneMatch.Contains($"W/\"{version}\""))
        {
            context.Response.Headers.ETag = $"W/\"{version}\"";
            return Results.StatusCode(StatusCodes.Status304NotModified);
        }

        return new FhirResult(StatusCodes.Status200OK, Encoding.UTF8.GetBytes(stored.Json), version, stored.LastUpdated);
    }

    private static async Task<IResult> SearchByPostAsync(string type, HttpContext context, FhirSearch search)
    {
        if (!context.Request.HasFormContentType)
        {
            return FhirResult.Error(StatusCodes.Status415UnsupportedMediaType, IssueType.NotSupported, "Send the parameters as application/x-www-form-urlencoded.");
        }

        var form = await context.Request.ReadFormAsync(context.RequestAborted);
        return await search.AnswerAsync(type, [.. Pairs(context.Request.Query), .. Pairs(form)], context);
    }

    private static List<KeyValuePair<string, string>> Pairs(IEnumerable<KeyValuePair<string, Microsoft.Extensions.Primitives.StringValues>> values) =>
        [.. values.SelectMany(pair => pair.Value.Select(value => KeyValuePair.Create(pair.Key, value ?? "")))];
}
