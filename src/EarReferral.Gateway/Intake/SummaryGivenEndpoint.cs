using System.Text.Json;
using EarReferral.Storage.Audit;
using EarReferral.Storage.Encounters;

namespace EarReferral.Gateway.Intake;

/// <summary>Writes down that a summary was handed over where no system fetches it.</summary>
internal static class SummaryGivenEndpoint
{
    /// <summary>Maps the address.</summary>
    public static void MapSummaryGiven(this IEndpointRouteBuilder routes) =>
        routes.MapPost("/encounters/{id:guid}/summary-given", PostAsync)
            .WithTags("Encounters")
            .WithSummary("Write down that the summary was handed over, or its content told, because no practice fetches it. It ends what /attention lists about it; a correction of the visit begins it anew. The same act again is written once.")
            .Produces(StatusCodes.Status204NoContent)
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);

    internal static async Task<IResult> PostAsync(Guid id, SummaryGiven given, HttpContext context, EncounterStore encounters, AuditStore audit, TimeProvider clock)
    {
        var (now, stop) = (clock.GetUtcNow(), context.RequestAborted);
        if (await encounters.FindAsync(Callers.Clinic(context), id, stop) is not { } encounter)
        {
            return IntakeProblem.NotFound();
        }

        if (given.Problems(now) is { Count: > 0 } problems)
        {
            return IntakeProblem.Refused(problems, null);
        }

        using var receipt = JsonDocument.Parse(encounter.Receipt);
        if (encounter.IsRetracted || !receipt.RootElement.TryGetProperty("summary", out var summary))
        {
            return IntakeProblem.Problem(StatusCodes.Status409Conflict, "no-summary", "There is no summary to hand over", "Nothing was written. The visit was taken back, or it waits in quarantine.");
        }

        await audit.HandedOverAsync(
            new AuditEntry(now, AuditAction.HandOver, AuditResult.Success, Callers.Actor, encounter.ClinicId, encounter.PracticeOds, encounter.PatientKey, "Composition", summary.GetString()!.Split('/')[^2], context.TraceIdentifier, given.Words())
            {
                TokenId = Callers.TokenId,
            },
            encounter.ReceivedAt,
            stop);
        return Results.NoContent();
    }
}
