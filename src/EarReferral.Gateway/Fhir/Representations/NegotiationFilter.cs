using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir.Representations;

/// <summary>Settles before anything is done how the answer is written and whether the body can be read: a refusal afterwards would hide what was done.</summary>
internal sealed class NegotiationFilter : IEndpointFilter
{
    /// <inheritdoc />
    public ValueTask<object?> InvokeAsync(EndpointFilterInvocationContext context, EndpointFilterDelegate next) =>
        Refusal(context.HttpContext) is { } refusal ? ValueTask.FromResult<object?>(refusal) : next(context);

    /// <summary>Chooses again by parameters that came in the body of a search; null when it can be written.</summary>
    public static FhirResult? Refusal(HttpContext context, string? format = null, string? pretty = null)
    {
        var query = context.Request.Query;
        format ??= query["_format"].FirstOrDefault();
        if (Representation.Of(context.Request, format, (pretty ?? query["_pretty"].FirstOrDefault()) == "true") is not { } chosen)
        {
            return FhirResult.Error(StatusCodes.Status406NotAcceptable, IssueType.NotSupported, "Answers are written as application/fhir+json or application/fhir+xml, FHIR version 4.0.");
        }

        context.Features.Set(chosen);
        return IsBodyUnreadable(context.Request)
            ? FhirResult.Error(StatusCodes.Status415UnsupportedMediaType, IssueType.NotSupported, "Send application/fhir+json or application/fhir+xml, FHIR version 4.0, or application/x-www-form-urlencoded to _search.")
            : null;
    }

    private static bool IsBodyUnreadable(HttpRequest request)
    {
        if (!HttpMethods.IsPost(request.Method) && !HttpMethods.IsPut(request.Method))
        {
            return false;
        }

        if (request.Path.Value!.EndsWith("/_search", StringComparison.Ordinal))
        {
            // Without a body all parameters are in the address.
            return request.ContentLength is not (0 or null) && !request.HasFormContentType;
        }

        return request.ContentLength is not 0 && !(request.ContentType is null && request.ContentLength is null) && FhirMediaType.Of(request.ContentType) is null;
    }
}
