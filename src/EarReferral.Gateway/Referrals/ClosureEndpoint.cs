using EarReferral.Delivery;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Intake;
using EarReferral.Referrals.States;
using EarReferral.Referrals.Transitions;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Sending;
using Hl7.Fhir.Model;
using Microsoft.AspNetCore.Mvc;
using Microsoft.Extensions.Options;
using FhirTask = Hl7.Fhir.Model.Task;
using ReferralState = EarReferral.Storage.Referrals.ReferralState;

namespace EarReferral.Gateway.Referrals;

/// <summary>Takes a clinician's closing of a referral: <c>POST /referrals/{id}/closure</c> with If-Match.</summary>
internal static class ClosureEndpoint
{
    /// <summary>Maps the address.</summary>
    public static void MapClosure(this IEndpointRouteBuilder routes) =>
        routes.MapPost("/referrals/{id}/closure", CloseAsync)
            .WithTags("Referrals")
            .WithSummary("Close a referral with a name, a role and a reason, with If-Match. Nothing else ends it; a later report of work or a correction opens it again.")
            .Produces<ReferralView>()
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict)
            .ProducesProblem(StatusCodes.Status412PreconditionFailed)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity)
            .ProducesProblem(StatusCodes.Status428PreconditionRequired);

    internal static async Task<IResult> CloseAsync(
        string id,
        Closure closure,
        HttpContext context,
        ReferralStore store,
        ResourceStore resources,
        Outbox outbox,
        TimeProvider clock,
        IOptions<GatewayOptions> gateway,
        IOptions<DeliveryOptions> delivery,
        ILogger<ReferralStore> logger,
        [FromHeader(Name = "If-Match")] string? ifMatch)
    {
        var (reach, stop) = (Callers.Clinic(context), context.RequestAborted);
        if (await store.FindAsync(reach, id, stop) is not { } referral || await resources.ReadAsync(reach, "Task", referral.TaskId, stop) is not { } stored)
        {
            return IntakeProblem.NotFound();
        }

        if (closure.Problems() is { Count: > 0 } problems)
        {
            return Refused(problems);
        }

        if (referral.State == ReferralState.Closed)
        {
            return Answer(ClosureOutcome.ClosedBefore);
        }

        if (ifMatch is null)
        {
            return IntakeProblem.Problem(
                StatusCodes.Status428PreconditionRequired, "if-match-required", "If-Match is missing", "Nothing was changed. Send If-Match with the ETag of GET, so that nobody closes what they have not seen.");
        }

        if (ifMatch != ReferralEndpoints.Tag(referral))
        {
            return Answer(ClosureOutcome.Stale);
        }

        var now = clock.GetUtcNow();
        var ours = (FhirTask)stored.Parse();
        var decision = ReferralClosing.Decide(TaskUpdate.State(ours, stored.Version == 1), ours.AuthoredOnElement!.ToDateTimeOffset(TimeSpan.Zero), now);
        if (Judge(decision, referral, stored.Version, ours, closure, now) is not { } judgement)
        {
            return IntakeProblem.Problem(
                StatusCodes.Status409Conflict,
                "work-under-way",
                "The receiver is working on this referral",
                $"Nothing was changed. Only the receiver can end it now (its Task is {referral.TaskStatus}): phone them, and close it when they have reported the end.");
        }

        var outcome = await store.CloseAsync(
            reach,
            id,
            new ReferralClosure(closure.Person!, closure.Role!, closure.Reason!, closure.Text!, closure.Told, now, Callers.Actor, context.TraceIdentifier),
            judgement,
            stop);
        if (outcome != ClosureOutcome.Closed)
        {
            return Answer(outcome);
        }

        Log.ReferralClosed(logger, id, closure.Reason!);
        return await ReferralEndpoints.GetAsync(id, context, store, outbox, gateway, delivery);
    }

    /// <summary>What the store has to do; null when only the receiver can end the work.</summary>
    private static ClosureJudgement? Judge(ClosingDecision decision, StoredReferral referral, int version, FhirTask ours, Closure closure, DateTimeOffset now) => decision switch
    {
        ClosingDecision.Cancel cancel => new(referral.ChangedAt, version, Cancelled(ours, closure.Reason!, now), cancel.State.Authorisation.Code(), EndedByReceiver: false),
        ClosingDecision.AsItEnded ended => new(referral.ChangedAt, version, null, ended.State.Authorisation.Code(), EndedByReceiver: true),
        _ => null,
    };

    internal static FhirTask Cancelled(FhirTask ours, string reason, DateTimeOffset now)
    {
        var task = (FhirTask)ours.DeepCopy();
        task.Status = FhirTask.TaskStatus.Cancelled;
        task.BusinessStatus = new CodeableConcept(StateCodes.BusinessStatusSystem, BusinessStatus.CancelledByReferrer.Code());
        task.StatusReason = new CodeableConcept { Text = $"The clinic ended the referral: {reason}." };
        // FHIR R4 invariant inv-1: never before authoredOn, even when this machine's clock is a little behind.
        var authored = ours.AuthoredOnElement!.ToDateTimeOffset(TimeSpan.Zero);
        task.LastModifiedElement = new FhirDateTime(now < authored ? authored : now);
        return task;
    }

    internal static IResult Answer(ClosureOutcome outcome) => outcome switch
    {
        ClosureOutcome.ClosedBefore => IntakeProblem.Problem(StatusCodes.Status409Conflict, "referral-closed", "This referral is closed", "Nothing was changed. Its timeline says by whom and why."),
        ClosureOutcome.Stale => IntakeProblem.Problem(StatusCodes.Status412PreconditionFailed, "stale", "The referral has changed meanwhile", "Nothing was changed. Read it again, look at what is new, and take its ETag."),
        ClosureOutcome.AttemptUnderWay => IntakeProblem.Problem(StatusCodes.Status409Conflict, "attempt-under-way", "It is being sent at this moment", "Nothing was changed. Read it again in a minute; then it is known what the receiver has."),
        ClosureOutcome.NobodyTold => Refused([IntakeProblems.ClosureTold.At("/told")]),
        ClosureOutcome.NotFound => IntakeProblem.NotFound(),
        ClosureOutcome.Closed => throw new InvalidOperationException("A closure that was taken is answered with the referral."),
    };

    private static IResult Refused(IReadOnlyList<EncounterProblem> problems) => IntakeProblem.Problem(
        StatusCodes.Status422UnprocessableEntity, "closure-refused", "The closure was not accepted", "Nothing was changed. Complete the places listed and post it again.", new()
        {
            ["errors"] = problems.Select(problem => new { id = problem.Id, pointer = problem.Pointer, detail = problem.Sentence }),
        });
}
