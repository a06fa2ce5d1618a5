using EarReferral.Gateway.Fhir.Checks;
using EarReferral.Gateway.Fhir.Operations;
using EarReferral.Gateway.Fhir.Representations;
using EarReferral.Gateway.Fhir.Terminology;
using EarReferral.Gateway.Referrals;
using Hl7.Fhir.Model;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir;

/// <summary>The FHIR R4 face: reads of every kind, operations, and reports on Tasks.</summary>
internal static class FhirEndpoints
{
    private static readonly string[] Reading = [HttpMethods.Get, HttpMethods.Head];
    private static readonly string[] Operating = [HttpMethods.Get, HttpMethods.Head, HttpMethods.Post];

    /// <summary>Maps the addresses.</summary>
    public static void MapFhir(this IEndpointRouteBuilder routes)
    {
        var fhir = routes.MapGroup("/fhir").WithTags("FHIR R4").AddEndpointFilter<NegotiationFilter>();
        fhir.MapPost("", FhirBatch.AnswerAsync)
            .WithSummary("A batch of reads; each entry is answered as if it had come alone.");
        fhir.MapMethods("/metadata", Reading, (HttpContext context, FhirReads reads) => ReadAsync(["metadata"], context, reads))
            .WithSummary("What this server can do, derived from what it does.");
        fhir.MapMethods("/{type}", Reading, (string type, HttpContext context, FhirReads reads) => ReadAsync([type], context, reads))
            .WithSummary("Search.");
        fhir.MapPost("/{type}/_search", (string type, HttpContext context, FhirReads reads) => SearchByPostAsync([type], context, reads))
            .WithSummary("Search with the parameters in the body, which keeps identifiers out of addresses.")
            .Accepts<IFormCollection>("application/x-www-form-urlencoded")
            .DisableAntiforgery();
        fhir.MapMethods("/{type}/{id}", Reading, (string type, string id, HttpContext context, FhirReads reads) => ReadAsync([type, id], context, reads))
            .WithSummary("Read the current version of a resource.");
        fhir.MapMethods("/{type}/{id}/_history", Reading, (string type, string id, HttpContext context, FhirReads reads) => ReadAsync([type, id, "_history"], context, reads))
            .WithSummary("Every version of a resource, the newest first.");
        fhir.MapMethods("/{type}/{id}/_history/{version}", Reading, (string type, string id, string version, HttpContext context, FhirReads reads) => ReadAsync([type, id, "_history", version], context, reads))
            .WithSummary("Read one version of a resource.");
        fhir.MapMethods("/{type}/{id}/{member}", Reading, (string type, string id, string member, HttpContext context, FhirReads reads) => ReadAsync([type, id, member], context, reads))
            .WithSummary("Search in the compartment of a Patient or an Encounter.");
        fhir.MapPost("/{type}/{id}/{member}/_search", (string type, string id, string member, HttpContext context, FhirReads reads) => SearchByPostAsync([type, id, member], context, reads))
            .WithSummary("The same with the parameters in the body.")
            .Accepts<IFormCollection>("application/x-www-form-urlencoded")
            .DisableAntiforgery();
        fhir.MapMethods("/Composition/{id}/$document", Operating, (string id, HttpContext context, FhirReads reads) => OperateAsync(["Composition", id, "$document"], context, reads))
            .WithSummary("The GP summary as a FHIR document with everything it refers to.");
        foreach (var owner in new[] { "Patient", "Encounter" })
        {
            fhir.MapMethods($"/{owner}/{{id}}/$everything", Operating, (string id, HttpContext context, FhirReads reads) => OperateAsync([owner, id, "$everything"], context, reads))
                .WithSummary($"Everything that is kept about the {owner}.");
        }

        fhir.MapPost("/{type}/$validate", ValidateOperation.AnswerAsync)
            .WithSummary("Judge a resource by the profile it claims, or by the one named; 200 whether valid or not. Stores nothing.");
        fhir.MapTerminology();
        fhir.MapPut("/Task", TaskUpdateEndpoint.PutByIdentifierAsync)
            .WithSummary("The same, the Task named by ?identifier=system|value.");
        fhir.MapPut("/Task/{id}", TaskUpdateEndpoint.PutAsync)
            .WithSummary("A receiver reports how far the work is; If-Match required.");
    }

    private static async Task<IResult> ReadAsync(IReadOnlyList<string> path, HttpContext context, FhirReads reads) =>
        await reads.AnswerAsync(path, FhirRequest.Of(context), context.RequestAborted);

    private static async Task<IResult> SearchByPostAsync(IReadOnlyList<string> path, HttpContext context, FhirReads reads)
    {
        var form = context.Request.HasFormContentType ? await context.Request.ReadFormAsync(context.RequestAborted) : FormCollection.Empty;
        var refusal = NegotiationFilter.Refusal(context, form["_format"].FirstOrDefault(), form["_pretty"].FirstOrDefault());
        return refusal ?? await reads.AnswerAsync(path, FhirRequest.Of(context, form), context.RequestAborted);
    }

    /// <summary>An operation takes its parameters from the address, or from Parameters in the body.</summary>
    private static async Task<IResult> OperateAsync(IReadOnlyList<string> path, HttpContext context, FhirReads reads)
    {
        var request = FhirRequest.Of(context);
        if (HttpMethods.IsPost(context.Request.Method))
        {
            var (parameters, refusal) = await FhirBody.ReadAsync<Parameters>(context);
            if (refusal is not null)
            {
                return refusal;
            }

            var sent = (parameters?.Parameter ?? []).Select(parameter => KeyValuePair.Create(parameter.Name ?? "", parameter.Value is PrimitiveType value ? value.ToString() ?? "" : "")).ToList();
            if (sent.Any(pair => pair.Value.Length == 0))
            {
                return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Value, "The parameters of this operation are simple values.", "Parameters.parameter");
            }

            request = request with { Parameters = [.. request.Parameters, .. sent] };
        }

        return await reads.AnswerAsync(path, request, context.RequestAborted);
    }
}
