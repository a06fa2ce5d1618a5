using System.Globalization;
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
using Hl7.Fhir.Utility;
using Microsoft.Extensions.Options;
using FhirTask = Hl7.Fhir.Model.Task;
using ReferralState = EarReferral.Storage.Referrals.ReferralState;

namespace EarReferral.Gateway.Referrals;

/// <summary>Takes what a receiver said by telephone, letter or e-mail; the matrix that judges an electronic report judges it too.</summary>
internal static class HandEndpoints
{
    /// <summary>Maps the addresses.</summary>
    public static void MapHand(this IEndpointRouteBuilder routes)
    {
        routes.MapPost("/referrals/{id}/answers-by-hand", AnswerAsync)
            .WithTags("Referrals")
            .WithSummary("Record an answer of the receiver that came by telephone, letter or e-mail. It moves the referral as an electronic report would; the same answer again changes nothing.")
            .Produces<ReferralView>()
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        routes.MapPost("/referrals/{id}/calls", CallAsync)
            .WithTags("Referrals")
            .WithSummary("Record a telephone call about a referral. One that a clinician there has taken stops the clock of the delivery.")
            .Produces<ReferralView>()
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
    }

    internal static async Task<IResult> AnswerAsync(
        string id, AnswerByHand answer, HttpContext context, ReferralStore store, ResourceStore resources, Outbox outbox, TimeProvider clock, IOptions<GatewayOptions> gateway, IOptions<DeliveryOptions> delivery)
    {
        var (reach, stop, now) = (Callers.Clinic(context), context.RequestAborted, clock.GetUtcNow());
        if (await store.FindAsync(reach, id, stop) is not { } referral || await resources.ReadAsync(reach, "Task", referral.TaskId, stop) is not { } stored)
        {
            return IntakeProblem.NotFound();
        }

        if (answer.Problems(now) is { Count: > 0 } problems)
        {
            return Refused(problems);
        }

        if (referral.State is ReferralState.Closed or ReferralState.Withdrawn)
        {
            return Over();
        }

        var words = string.Create(CultureInfo.InvariantCulture, $"{answer.Answer} by {answer.Channel}: said by {answer.SaidBy}, {answer.At!.Value.ToUniversalTime():yyyy-MM-dd'T'HH:mm:ss'Z'}, written by {answer.Person}.");
        var timeline = await store.TimelineAsync(reach, id, stop);
        if (timeline.Any(entry => entry.Kind == "task-updated" && entry.Detail?.StartsWith(words, StringComparison.Ordinal) is true))
        {
            return await ReferralEndpoints.GetAsync(id, context, store, outbox, gateway, delivery);
        }

        var ours = (FhirTask)stored.Parse();
        var state = TaskUpdate.State(ours, stored.Version == 1) with { CancellationAsked = TaskUpdate.IsCancelAsked(timeline) };
        var (status, business) = HandAnswers.Change(answer.Read()!.Value, state.Execution);
        var authored = ours.AuthoredOnElement!.ToDateTimeOffset(TimeSpan.Zero);
        // FHIR R4 invariant inv-1: never before authoredOn, even when this machine's clock is a little behind.
        var modified = now < authored ? authored : now;
        var update = new ReferralUpdate(state.TaskIdentifier, Party.Filler, status, business, answer.Reason, state.HasOutput, authored, new TaskVersion(null, modified));
        switch (ReferralLife.Apply(state, update))
        {
            case TransitionOutcome.Applied applied:
                var more = TaskReports.Detail(applied);
                var entry = new ReferralEvent(now, "task-updated", Callers.Actor, Detail: more is null ? words : $"{words} {more}");
                var written = await store.ApplyTaskUpdateAsync(
                    reach, referral.TaskId, stored.Version, Merge(ours, answer, applied.State.Execution, applied.State.Business, modified), applied.State.Execution.Code(), applied.State.Business?.Code(), entry, stop);
                return written is TaskUpdateOutcome.Applied ? await ReferralEndpoints.GetAsync(id, context, store, outbox, gateway, delivery) : Newer();
            case TransitionOutcome.Illegal illegal:
                return IntakeProblem.Problem(
                    StatusCodes.Status409Conflict,
                    "illegal-transition",
                    "The referral cannot go there from where it stands",
                    $"Nothing was changed. It is {illegal.From.Code()}, and the answer would make it {illegal.To.Code()}. Record what the receiver said before, such as accepted, first.");
            default:
                return Newer();
        }
    }

    internal static async Task<IResult> CallAsync(
        string id, CallByHand call, HttpContext context, ReferralStore store, Outbox outbox, TimeProvider clock, IOptions<GatewayOptions> gateway, IOptions<DeliveryOptions> delivery)
    {
        var (reach, stop, now) = (Callers.Clinic(context), context.RequestAborted, clock.GetUtcNow());
        if (await store.FindAsync(reach, id, stop) is not { } referral)
        {
            return IntakeProblem.NotFound();
        }

        if (call.Problems(now) is { Count: > 0 } problems)
        {
            return Refused(problems);
        }

        if (referral.State is ReferralState.Closed or ReferralState.Withdrawn)
        {
            return Over();
        }

        var words = string.Create(CultureInfo.InvariantCulture, $"{call.Outcome}: {call.Person} called at {call.At!.Value.ToUniversalTime():yyyy-MM-dd'T'HH:mm:ss'Z'}{(call.SaidBy is { } who ? $", spoke with {who}" : "")}.");
        var taken = call.Outcome == "taken";
        await store.CalledAsync(
            reach, id, new ReferralEvent(now, taken ? ClockReader.CallTaken : "phoned", Callers.Actor, Detail: words), call.Person!, taken, context.TraceIdentifier, stop);
        return await ReferralEndpoints.GetAsync(id, context, store, outbox, gateway, delivery);
    }

    private static FhirTask Merge(FhirTask ours, AnswerByHand answer, ExecutionStatus status, BusinessStatus? business, DateTimeOffset modified)
    {
        var task = (FhirTask)ours.DeepCopy();
        task.Status = EnumUtility.ParseLiteral<FhirTask.TaskStatus>(status.Code());
        task.BusinessStatus = business is { } finer ? new CodeableConcept(StateCodes.BusinessStatusSystem, finer.Code()) : null;
        task.StatusReason = answer.Reason is { } reason ? new CodeableConcept { Text = reason } : null;
        task.LastModifiedElement = new FhirDateTime(modified);
        task.Note.Add(new Annotation
        {
            Author = new FhirString($"{answer.SaidBy} (written by {answer.Person})"),
            TimeElement = new FhirDateTime(answer.At!.Value),
            Text = $"{answer.Answer}, by {answer.Channel}",
        });
        return task;
    }

    private static IResult Over() => IntakeProblem.Problem(StatusCodes.Status409Conflict, "referral-closed", "This referral is over", "Nothing was changed. Its timeline says by whom and why.");

    private static IResult Newer() => IntakeProblem.Problem(StatusCodes.Status409Conflict, "newer-report", "The receiver has reported something newer", "Nothing was changed. Read the referral again, and record the answer if it still says more.");

    private static IResult Refused(IReadOnlyList<EncounterProblem> problems) => IntakeProblem.Problem(
        StatusCodes.Status422UnprocessableEntity, "answer-refused", "It was not recorded", "Nothing was changed. Complete the places listed and post it again.", new()
        {
            ["errors"] = problems.Select(problem => new { id = problem.Id, pointer = problem.Pointer, detail = problem.Sentence }),
        });
}
