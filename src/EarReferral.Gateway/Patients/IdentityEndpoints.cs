using EarReferral.Gateway.Intake;
using EarReferral.Storage.Identity;

namespace EarReferral.Gateway.Patients;

/// <summary>What a person decides about who a patient is.</summary>
internal static class IdentityEndpoints
{
    /// <summary>Maps the addresses.</summary>
    public static void MapPatients(this IEndpointRouteBuilder routes)
    {
        var patients = routes.MapGroup("/patients").WithTags("Patients");
        Map(patients, "/{id}/link", isLink: true)
            .WithSummary("Confirm that all visits of the record are one person's, with NHS number and birth date of the newest.");
        Map(patients, "/{id}/unlink", isLink: false)
            .WithSummary("Say that the record does not belong to the NHS number it carries.");
    }

    private static RouteHandlerBuilder Map(RouteGroupBuilder patients, string path, bool isLink) => patients
        .MapPost(path, (string id, IdentityDecision decision, HttpContext context, IdentityStore identities, TimeProvider clock, ILogger<IdentityStore> logger) =>
            DecideAsync(id, decision, isLink, context, identities, clock, logger))
        .Produces<PatientIdentity>()
        .ProducesProblem(StatusCodes.Status404NotFound)
        .ProducesProblem(StatusCodes.Status409Conflict)
        .ProducesProblem(StatusCodes.Status422UnprocessableEntity);

    private static async Task<IResult> DecideAsync(
        string id, IdentityDecision decision, bool isLink, HttpContext context, IdentityStore identities, TimeProvider clock, ILogger logger)
    {
        if (decision.Problems() is { Count: > 0 } problems)
        {
            return IntakeProblem.Problem(StatusCodes.Status422UnprocessableEntity, "decision-incomplete", "The decision is not complete", "Nothing was changed. Correct the places listed and post it again.", new()
            {
                ["errors"] = problems.Select(problem => new { id = problem.Id, pointer = problem.Pointer, detail = problem.Sentence }),
            });
        }

        var outcome = await identities.DecideAsync(
            Callers.Clinic(context),
            id,
            new IdentityStatement(isLink, decision.Person!, decision.Reason!, Callers.Actor, context.TraceIdentifier, clock.GetUtcNow()),
            context.RequestAborted);
        switch (outcome)
        {
            case IdentityOutcome.Kept:
                Log.PatientIdentityDecided(logger, id, isLink ? "linked" : "unlinked");
                return Results.Ok(new PatientIdentity(id, isLink ? "linked" : "unlinked"));
            case IdentityOutcome.NotFound:
                return IntakeProblem.Problem(StatusCodes.Status404NotFound, "not-found", "No such patient", "Take the id from /attention or from the Patient resource.");
            case IdentityOutcome.NoNumber:
                return IntakeProblem.Problem(StatusCodes.Status409Conflict, "no-nhs-number", "There is nothing to decide about", isLink
                    ? "The newest visit of this record names no NHS number or was retracted. Correct the visit that is right, then link."
                    : "No visit of this record names an NHS number.");
            case IdentityOutcome.OtherIsLinked:
                return IntakeProblem.Problem(StatusCodes.Status409Conflict, "other-is-linked", "Another record is linked to this NHS number", "A record with another birth date was confirmed for the same number. Unlink that one first; both cannot be right.");
            default:
                throw new InvalidOperationException($"{outcome} is not an outcome of a decision.");
        }
    }
}
