using Microsoft.AspNetCore.Diagnostics;

namespace EarReferral.Gateway.Hosting;

/// <summary>What a failed request answers: its own fault is told apart from ours.</summary>
internal static class RequestFailure
{
    /// <summary>Status of the failure: that of a request the server could not read, else 500.</summary>
    public static int Status(HttpContext context) =>
        context.Features.Get<IExceptionHandlerFeature>()?.Error is BadHttpRequestException unreadable ? unreadable.StatusCode : StatusCodes.Status500InternalServerError;

    /// <summary>Writes problem details; the trace id is all that leaves of an exception.</summary>
    public static Task WriteAsync(HttpContext context)
    {
        var status = Status(context);
        return Results.Problem(
            statusCode: status,
            detail: status == StatusCodes.Status500InternalServerError
                ? $"The request failed. Give this number to the operator: {context.TraceIdentifier}"
                : "The request could not be read. Nothing was stored.").ExecuteAsync(context);
    }
}
