using EarReferral.Sandbox.Storing;
using EarReferral.Sandbox.Transactions;
using Microsoft.Extensions.Primitives;

namespace EarReferral.Sandbox.Http;

/// <summary>The FHIR side: transaction, read, search by identifier, capabilities.</summary>
internal static class FhirEndpoints
{
    public const string Base = "/fhir";

    public static void Map(IEndpointRouteBuilder routes)
    {
        routes.MapPost(Base, PostAsync);
        routes.MapGet($"{Base}/metadata", (HttpContext context, TimeProvider time, SandboxOptions options) => new FhirResult(200, Capability.Statement(time.GetUtcNow(), BaseUrl(context.Request), options.Updates)));
        routes.MapGet($"{Base}/{{type}}/{{id}}", Read);
        routes.MapGet($"{Base}/{{type}}", (string type, HttpContext context, ReceiverStore store) => Search(type, context.Request.Query, context.Request, store));
        routes.MapPost($"{Base}/{{type}}/_search", SearchFormAsync);
        routes.MapFallback($"{Base}/{{**path}}", () => FhirResult.Problem(new Issue(404, "not-supported", null, "This receiver has no such interaction.")));
    }

    private static async Task<FhirResult> PostAsync(HttpContext context, TransactionProcessor processor, ILogger<TransactionProcessor> logger)
    {
        if (context.Request.ContentType?.Split(';')[0].Trim() is not (FhirJson.MediaType or "application/json"))
        {
            return FhirResult.Problem(new Issue(415, "not-supported", null, $"Send {FhirJson.MediaType}."));
        }

        using var body = new MemoryStream();
        await context.Request.Body.CopyToAsync(body, context.RequestAborted);
        switch (await processor.ProcessAsync(body.ToArray()))
        {
            case TransactionOutcome.Accepted accepted:
                var created = accepted.Entries.Count(entry => entry.Created);
                Log.TransactionAccepted(logger, created, accepted.Entries.Count - created);
                return new FhirResult(200, FhirJson.TransactionResponse(accepted.Entries));
            case TransactionOutcome.Refused refused:
                Log.TransactionRefused(logger, refused.Status, refused.Issues.Count, refused.Issues[0].Code);
                return new FhirResult(refused.Status, FhirJson.OperationOutcome(refused.Issues));
            case var other:
                throw new InvalidOperationException($"Outcome {other.GetType().Name} is not known.");
        }
    }

    private static FhirResult Read(string type, string id, ReceiverStore store) => store.Read(type, id) is { } resource
        ? new FhirResult(200, FhirJson.Resource(resource).AsObject(), resource.ETag)
        : FhirResult.Problem(new Issue(404, "not-found", null, "There is no such resource."));

    private static async Task<FhirResult> SearchFormAsync(string type, HttpContext context, ReceiverStore store) => context.Request.HasFormContentType
        ? Search(type, (await context.Request.ReadFormAsync(context.RequestAborted)).Concat(context.Request.Query), context.Request, store)
        : FhirResult.Problem(new Issue(415, "not-supported", null, "A search is posted as application/x-www-form-urlencoded."));

    private static FhirResult Search(string type, IEnumerable<KeyValuePair<string, StringValues>> parameters, HttpRequest request, ReceiverStore store)
    {
        IdentifierToken? wanted = null;
        foreach (var (name, values) in parameters.Where(parameter => parameter.Key != "_format"))
        {
            // A parameter that is ignored would widen the answer, so that a sender takes another referral for its own.
            if (wanted is not null || name != "identifier" || values is not [{ } value] || IdentifierToken.Parse(value) is not { } token)
            {
                return FhirResult.Problem(new Issue(400, "not-supported", null, "Search takes one identifier as system|value."));
            }

            wanted = token;
        }

        var found = wanted is null ? store.All(type) : store.Search(type, wanted);
        var self = $"{BaseUrl(request)}/{type}" + (wanted is null ? string.Empty : $"?identifier={Uri.EscapeDataString(wanted.ToString())}");
        return new FhirResult(200, FhirJson.SearchSet(found, BaseUrl(request), self));
    }

    private static string BaseUrl(HttpRequest request) => $"{request.Scheme}://{request.Host}{Base}";
}
