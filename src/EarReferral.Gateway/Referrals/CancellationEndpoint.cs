using EarReferral.Delivery;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Intake;
using EarReferral.Referrals.States;
using EarReferral.Referrals.Transitions;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Sending;
using Microsoft.Extensions.Options;
using FhirTask = Hl7.Fhir.Model.Task;
using ReferralState = EarReferral.Storage.Referrals.ReferralState;

namespace EarReferral.Gateway.Referrals;

/// <summary>Takes the clinic's cancelling of a referral. Before work began the clinic cancels it; afterwards it can only ask (Clinical Order Workflows 1.0).</summary>
internal static class CancellationEndpoint
{
    /// <summary>Maps the address.</summary>
    public static void MapCancellation(this IEndpointRouteBuilder routes) => routes.MapPost("/referrals/{id}/cancel", CancelAsync)
        .WithTags("Referrals")
        .WithSummary("Cancel a referral. Before the receiver works on it, it is cancelled and nothing more is sent; afterwards the receiver is asked by an abort Task and answers with the end that it reports. Either way a clinician closes it.")
        .Produces<ReferralView>()
        .ProducesProblem(StatusCodes.Status404NotFound)
        .ProducesProblem(StatusCodes.Status409Conflict)
        .ProducesProblem(StatusCodes.Status422UnprocessableEntity);

    internal static async Task<IResult> CancelAsync(
        string id, Cancellation cancellation, HttpContext context, ReferralStore store, ResourceStore resources, Outbox outbox, TimeProvider clock, IOptions<GatewayOptions> gateway, IOptions<DeliveryOptions> delivery)
    {
        var (reach, stop, now) = (Callers.Clinic(context), context.RequestAborted, clock.GetUtcNow());
        if (await store.FindAsync(reach, id, stop) is not { } referral || await resources.ReadAsync(reach, "Task", referral.TaskId, stop) is not { } stored)
        {
            return IntakeProblem.NotFound();
        }

        if (cancellation.Problems() is { Count: > 0 } problems)
        {
            return OperatorEndpoints.Refused(problems);
        }

        if (referral.State is ReferralState.Closed or ReferralState.Withdrawn or ReferralState.WithdrawnAfterSending)
        {
            return Over("This referral is over", "Its timeline says by whom and why.");
        }

        var ours = (FhirTask)stored.Parse();
        var state = TaskUpdate.State(ours, stored.Version == 1);
        var authored = ours.AuthoredOnElement!.ToDateTimeOffset(TimeSpan.Zero);
        var closure = new ReferralClosure(cancellation.Person!, cancellation.Role!, cancellation.Reason!, cancellation.Text!, cancellation.Told, now, Callers.Actor, context.TraceIdentifier);
        switch (ReferralClosing.Decide(state, authored, now))
        {
            case ClosingDecision.AsItEnded:
                return Over("The receiver has ended it", "There is nothing to cancel; a clinician closes it.");
            case ClosingDecision.Cancel cancel:
                var judgement = new ClosureJudgement(referral.ChangedAt, stored.Version, ClosureEndpoint.Cancelled(ours, cancellation.Reason!, now), cancel.State.Authorisation.Code(), EndedByReceiver: false);
                return await AnswerAsync(await store.CancelAsync(reach, id, closure, judgement, stop));
            default:
                if (ours.BusinessStatus?.Coding.Any(coding => coding.Code == BusinessStatus.CancelRequested.Code()) is true)
                {
                    return Over("The receiver has been asked already", "It answers with the end that it reports; phone them.");
                }

                // Nobody is told by a Task that waits to be read.
                return cancellation.Told is null
                    ? OperatorEndpoints.Refused([IntakeProblems.ClosureTold.At("/told")])
                    : await AnswerAsync(await store.AskToCancelAsync(
                        reach, id, closure, new ClosureJudgement(referral.ChangedAt, stored.Version, null, "active", EndedByReceiver: false), Cancellation.Asked(ours), cancellation.Abort(ours, now), stop));
        }

        async Task<IResult> AnswerAsync(ClosureOutcome outcome) => outcome == ClosureOutcome.Closed
            ? await ReferralEndpoints.GetAsync(id, context, store, outbox, gateway, delivery)
            : ClosureEndpoint.Answer(outcome);
    }

    private static IResult Over(string title, string detail) => IntakeProblem.Problem(StatusCodes.Status409Conflict, "not-cancellable", title, $"Nothing was changed. {detail}");
}
