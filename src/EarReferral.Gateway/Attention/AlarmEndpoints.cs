using EarReferral.Gateway.Intake;
using EarReferral.Storage.Alarms;

namespace EarReferral.Gateway.Attention;

/// <summary>The addresses under which alarms are seen and taken on.</summary>
internal static class AlarmEndpoints
{
    /// <summary>Maps the addresses.</summary>
    public static void MapAlarms(this IEndpointRouteBuilder routes)
    {
        var alarms = routes.MapGroup("/alarms").WithTags("Attention");
        alarms.MapGet("", async (HttpContext context, AlarmStore store, CancellationToken stop, bool? all, string? cursor, int? count) =>
            {
                var page = await store.ListAsync(Callers.Clinic(context), openOnly: all is not true, cursor, Math.Clamp(count ?? 50, 1, 200), stop);
                return Results.Ok(new AlarmList([.. page.Items.Select(alarm => AlarmView.Of(alarm, null))], page.Next));
            })
            .WithSummary("Alarms that nobody has acknowledged yet, oldest first; with ?all=true the others too.")
            .Produces<AlarmList>();
        alarms.MapGet("/{id}", GetAsync)
            .WithSummary("One alarm and every try to tell somebody of it.")
            .Produces<AlarmView>()
            .ProducesProblem(StatusCodes.Status404NotFound);
        alarms.MapPost("/{id}/acknowledgement", AcknowledgeAsync)
            .WithSummary("Take an alarm on, by name. Until then the next step of the contact list is told. What still stands a day later is raised anew.")
            .Produces<AlarmView>()
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
    }

    private static async Task<IResult> GetAsync(string id, HttpContext context, AlarmStore store)
    {
        var (reach, stop) = (Callers.Clinic(context), context.RequestAborted);
        return await store.FindAsync(reach, id, stop) is { } alarm
            ? Results.Ok(AlarmView.Of(alarm, await store.MessagesAsync(reach, id, stop)))
            : IntakeProblem.NotFound();
    }

    internal static async Task<IResult> AcknowledgeAsync(string id, AcknowledgementByHand by, HttpContext context, AlarmStore store, TimeProvider clock)
    {
        if (by.Problems() is { Count: > 0 } problems)
        {
            return IntakeProblem.Problem(
                StatusCodes.Status422UnprocessableEntity, "acknowledgement-refused", "It was not recorded", "The alarm is still open. Complete the places listed and post it again.", new()
                {
                    ["errors"] = problems.Select(problem => new { id = problem.Id, pointer = problem.Pointer, detail = problem.Sentence }),
                });
        }

        var outcome = await store.AcknowledgeAsync(
            Callers.Clinic(context), id, new Acknowledgement(clock.GetUtcNow(), by.Person!, by.Note), Callers.Actor, context.TraceIdentifier, context.RequestAborted);
        return outcome switch
        {
            AcknowledgeOutcome.Acknowledged => await GetAsync(id, context, store),
            AcknowledgeOutcome.Before => IntakeProblem.Problem(StatusCodes.Status409Conflict, "alarm-acknowledged", "Somebody has acknowledged it before", "Nothing was changed; GET says who."),
            AcknowledgeOutcome.NotFound => IntakeProblem.NotFound(),
        };
    }
}
