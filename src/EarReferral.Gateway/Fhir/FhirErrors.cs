using EarReferral.Gateway.Fhir.Representations;
using EarReferral.Gateway.Hosting;
using Microsoft.AspNetCore.Diagnostics;

namespace EarReferral.Gateway.Fhir;

/// <summary>Turns what middleware and routing refuse below <c>/fhir</c> into an OperationOutcome.</summary>
internal static class FhirErrors
{
    /// <summary>Whether a request is answered by FHIR's rules.</summary>
    public static bool Concerns(HttpContext context) => context.Request.Path.StartsWithSegments("/fhir", StringComparison.Ordinal);

    /// <summary>Writes the outcome for a status without a body.</summary>
    public static Task WriteAsync(StatusCodeContext refused)
    {
        var (code, sentence) = Outcome.ForStatus(refused.HttpContext.Response.StatusCode);
        Negotiate(refused.HttpContext);
        return FhirResult.Error(refused.HttpContext.Response.StatusCode, code, sentence).ExecuteAsync(refused.HttpContext);
    }

    /// <summary>Writes the outcome for an exception; the trace id is all that leaves.</summary>
    public static Task WriteExceptionAsync(HttpContext context)
    {
        var status = RequestFailure.Status(context);
        Negotiate(context);
        var (code, sentence) = Outcome.ForStatus(status);
        return FhirResult.Error(status, code, status == StatusCodes.Status500InternalServerError ? $"{sentence} Give this number to the operator: {context.TraceIdentifier}" : sentence).ExecuteAsync(context);
    }

    // No endpoint was reached that could have settled it; what cannot be written is answered in JSON all the same.
    private static void Negotiate(HttpContext context)
    {
        if (Representation.Of(context.Request, context.Request.Query["_format"].FirstOrDefault(), isPretty: false) is { } form)
        {
            context.Features.Set(form);
        }
    }
}
