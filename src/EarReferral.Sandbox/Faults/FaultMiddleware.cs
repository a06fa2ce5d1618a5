using System.Globalization;
using System.Text.Json.Nodes;
using EarReferral.Sandbox.Http;
using EarReferral.Sandbox.Transactions;

namespace EarReferral.Sandbox.Faults;

/// <summary>Lets the fault in force strike transactions.</summary>
internal sealed class FaultMiddleware(RequestDelegate next, FaultSwitch faults, TimeProvider time, ILogger<FaultMiddleware> logger)
{
    public Task InvokeAsync(HttpContext context)
    {
        var path = context.Request.Path.Value?.TrimEnd('/');
        var isSearch = path?.EndsWith("/_search", StringComparison.Ordinal) is true;
        if (!HttpMethods.IsPost(context.Request.Method) || (path != FhirEndpoints.Base && !isSearch))
        {
            return next(context);
        }

        var plan = faults.Next(isSearch);
        if (plan.Mode != FaultMode.None)
        {
            Log.FaultApplied(logger, plan.Mode);
        }

        return plan.Mode switch
        {
            FaultMode.None => next(context),
            FaultMode.Status => Unavailable(plan.Status).ExecuteAsync(context),
            FaultMode.RetryAfter => RetryAfterAsync(context, plan),
            FaultMode.ResetAfterAccept => ResetAfterAcceptAsync(context),
            FaultMode.ResetBefore => Reset(context),
            FaultMode.Slow => SlowAsync(context, plan),
            FaultMode.Garbage200 => GarbageAsync(context),
            FaultMode.MissingEntry => MissingEntryAsync(context),
            FaultMode.Late => LateAsync(context, plan),
            FaultMode.HalfAnswer => HalfAnswerAsync(context),
            FaultMode.Mix => throw new InvalidOperationException("A mix is one of its parts by the time it strikes."),
        };
    }

    private static FhirResult Unavailable(int status) =>
        FhirResult.Problem(new Issue(status, status >= 500 ? "transient" : "processing", null, "The sandbox was told to fail."));

    private static Task RetryAfterAsync(HttpContext context, FaultPlan plan)
    {
        context.Response.Headers.RetryAfter = plan.RetryAfterSeconds.ToString(CultureInfo.InvariantCulture);
        return Unavailable(plan.Status).ExecuteAsync(context);
    }

    private static Task Reset(HttpContext context)
    {
        context.Abort();
        return Task.CompletedTask;
    }

    private async Task SlowAsync(HttpContext context, FaultPlan plan)
    {
        await Task.Delay(TimeSpan.FromMilliseconds(plan.DelayMs), time, context.RequestAborted);
        await next(context);
    }

    private async Task LateAsync(HttpContext context, FaultPlan plan)
    {
        // The request is read first and worked on whatever becomes of the connection, as a busy server does.
        var body = new MemoryStream();
        await context.Request.Body.CopyToAsync(body, context.RequestAborted);
        body.Position = 0;
        context.Request.Body = body;
        await Task.Delay(TimeSpan.FromMilliseconds(plan.DelayMs), time, CancellationToken.None);
        context.RequestAborted = CancellationToken.None;
        await next(context);
    }

    private async Task HalfAnswerAsync(HttpContext context)
    {
        var answer = await AnswerAsync(context);
        context.Response.ContentLength = answer.Length;
        await context.Response.Body.WriteAsync(answer.AsMemory(0, answer.Length / 2), context.RequestAborted);
        await context.Response.Body.FlushAsync(context.RequestAborted);
        context.Abort();
    }

    private static Task GarbageAsync(HttpContext context)
    {
        context.Response.ContentType = "text/html; charset=utf-8";
        return context.Response.WriteAsync("<!doctype html><title>Portal</title><p>Please sign in.</p>", context.RequestAborted);
    }

    private async Task ResetAfterAcceptAsync(HttpContext context)
    {
        await AnswerAsync(context);
        context.Abort();
    }

    private async Task MissingEntryAsync(HttpContext context)
    {
        var answer = await AnswerAsync(context);
        if (JsonNode.Parse(answer) is JsonObject body && body["entry"] is JsonArray { Count: > 0 } entries)
        {
            entries.RemoveAt(entries.Count - 1);
            answer = System.Text.Encoding.UTF8.GetBytes(body.ToJsonString());
        }

        await context.Response.Body.WriteAsync(answer, context.RequestAborted);
    }

    /// <summary>Lets the receiver work and keeps its answer back.</summary>
    private async Task<byte[]> AnswerAsync(HttpContext context)
    {
        var wire = context.Response.Body;
        using var held = new MemoryStream();
        context.Response.Body = held;
        try
        {
            await next(context);
        }
        finally
        {
            context.Response.Body = wire;
        }

        return held.ToArray();
    }
}
