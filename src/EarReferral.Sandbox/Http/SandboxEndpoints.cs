using System.Text.Json;
using System.Text.Json.Serialization;
using EarReferral.Sandbox.Faults;
using EarReferral.Sandbox.Storing;

namespace EarReferral.Sandbox.Http;

/// <summary>The side that demos and tests turn the knobs of; not FHIR.</summary>
internal static class SandboxEndpoints
{
    private static readonly JsonSerializerOptions Format = new(JsonSerializerDefaults.Web)
    {
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.CamelCase, allowIntegerValues: false) },
        UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow,
    };

    public static void Map(IEndpointRouteBuilder routes)
    {
        routes.MapPost("/sandbox/faults", SetFaultAsync);
        routes.MapGet("/sandbox/faults", (FaultSwitch faults) => Results.Json(faults.Counts(), Format));
        routes.MapPost("/sandbox/reset", Reset);
        routes.MapGet("/sandbox/received", Received);
    }

    private static async Task<IResult> SetFaultAsync(HttpContext context, FaultSwitch faults)
    {
        try
        {
            var plan = await JsonSerializer.DeserializeAsync<FaultPlan>(context.Request.Body, Format, context.RequestAborted) ?? new FaultPlan();
            string[] problems = [.. plan.Problems()];
            if (problems.Length > 0)
            {
                return Results.BadRequest(problems);
            }

            faults.Set(plan);
            return Results.Json(plan, Format);
        }
        catch (JsonException problem)
        {
            return Results.BadRequest(new[] { problem.Message });
        }
    }

    private static IResult Reset(ReceiverStore store, FaultSwitch faults)
    {
        faults.Set(new FaultPlan());
        store.Reset();
        return Results.NoContent();
    }

    private static IResult Received(ReceiverStore store)
    {
        var (transactions, counts) = store.Totals();
        return Results.Json(
            new
            {
                Transactions = transactions,
                Counts = counts,
                ServiceRequests = store.All("ServiceRequest").SelectMany(resource => resource.Identifiers()).Select(token => token.ToString()),
                Answers = store.Awaited().Select(answer => new { Task = answer.Identifier.ToString(), answer.Done }),
            },
            Format);
    }
}
