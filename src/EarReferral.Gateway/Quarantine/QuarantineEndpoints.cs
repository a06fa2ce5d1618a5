using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Intake;
using EarReferral.Storage.Audit;
using EarReferral.Storage.Quarantine;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Quarantine;

/// <summary>The addresses under which an operator sees what our own profiles refused, and has it looked at again.</summary>
internal static class QuarantineEndpoints
{
    /// <summary>Maps the addresses.</summary>
    public static void MapQuarantine(this IEndpointRouteBuilder routes)
    {
        var quarantine = routes.MapGroup("/quarantine").WithTags("Quarantine");
        quarantine.MapGet("", ListAsync)
            .WithSummary("Accepted visits whose record does not pass our own profiles, in the order they came: ids and rules, nothing of what was found.")
            .Produces<QuarantineList>();
        quarantine.MapGet("/{id:guid}", GetAsync)
            .WithSummary("One of them with every look at it and what it found; also after its release.")
            .Produces<QuarantineDetail>()
            .ProducesProblem(StatusCodes.Status404NotFound);
        quarantine.MapPost("/{id:guid}/revalidate", RevalidateAsync)
            .WithSummary("Map, decide and validate it again with the program of today. When it passes it is released: stored as a record, its referral queued once. Asking again changes nothing.")
            .Produces<QuarantineDetail>()
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity)
            .ProducesProblem(StatusCodes.Status503ServiceUnavailable);
    }

    private static async Task<IResult> ListAsync(HttpContext context, QuarantineStore store, string? cursor, int? count)
    {
        var page = await store.ListAsync(Callers.Clinic(context), cursor, Math.Clamp(count ?? 50, 1, 200), context.RequestAborted);
        return Results.Ok(new QuarantineList([.. page.Items.Select(QuarantineItem.Of)], page.Next));
    }

    private static async Task<IResult> GetAsync(
        Guid id, HttpContext context, QuarantineStore store, AuditStore audit, TimeProvider clock, IOptions<GatewayOptions> gateway)
    {
        if (await store.FindAsync(Callers.Clinic(context), id, context.RequestAborted) is not { } record)
        {
            return NotFound();
        }

        // The issues may quote the record, so reading them is a disclosure.
        var kept = record.Encounter;
        await audit.AppendAsync(
            [new AuditEntry(clock.GetUtcNow(), AuditAction.Read, AuditResult.Success, Callers.Actor, kept.ClinicId, kept.PracticeOds, kept.PatientKey, "Encounter", kept.EncounterKey.ToString(), context.TraceIdentifier, "quarantine")],
            context.RequestAborted);
        return Results.Ok(QuarantineDetail.Of(record, gateway.Value.PublicBaseUrl));
    }

    private static async Task<IResult> RevalidateAsync(
        Guid id, Revalidation asked, HttpContext context, RecordRevalidation revalidation, QuarantineStore store, AuditStore audit, TimeProvider clock, IOptions<GatewayOptions> gateway)
    {
        if (asked.Problems() is { Count: > 0 } problems)
        {
            return IntakeProblem.Problem(
                StatusCodes.Status422UnprocessableEntity, "revalidation-refused", "The request was not accepted", "Nothing was changed. Complete the places listed and post it again.", Errors(problems));
        }

        return await revalidation.LookAsync(Callers.Clinic(context), id, asked, context.TraceIdentifier, context.RequestAborted) switch
        {
            RevalidationOutcome.Looked => await GetAsync(id, context, store, audit, clock, gateway),
            RevalidationOutcome.NotFound => NotFound(),
            RevalidationOutcome.Overtaken => Conflict("not-quarantined", "A later revision has taken its place", "Nothing was changed. A correction or a retraction has settled this encounter."),
            RevalidationOutcome.LessUrgentNow less => Conflict(
                "less-urgent-now",
                "The rules of today make it less urgent",
                $"Nothing was changed. The clinic was told {less.Then}, now it would be {less.Now}. Have a clinician look; where {less.Now} is right, post it again with acceptTier {less.Now}."),
            RevalidationOutcome.NoLongerTaken refused => IntakeProblem.Problem(
                StatusCodes.Status409Conflict, "no-longer-taken", "The document would be refused today", "Nothing was changed. The clinic must correct the visit with PUT.", Errors(refused.Problems)),
            RevalidationOutcome.UnknownClinic => Conflict("unknown-clinic", "The clinic is not configured any more", "Nothing was changed. Configure the clinic again."),
            RevalidationOutcome.NotReady notReady => IntakeProblem.NotReady(context, notReady.Why),
            var other => throw new InvalidOperationException($"{other.GetType().Name} is not an outcome of another look."),
        };
    }

    private static IResult NotFound() =>
        IntakeProblem.Problem(StatusCodes.Status404NotFound, "not-found", "Nothing of this id was ever in quarantine", "Take the id from GET /quarantine.");

    private static IResult Conflict(string type, string title, string detail) => IntakeProblem.Problem(StatusCodes.Status409Conflict, type, title, detail);

    private static Dictionary<string, object?> Errors(IReadOnlyList<EncounterProblem> problems) => new()
    {
        ["errors"] = problems.Select(problem => new { id = problem.Id, pointer = problem.Pointer, detail = problem.Sentence }),
    };
}
