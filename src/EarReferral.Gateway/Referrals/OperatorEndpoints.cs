using System.Text.Json;
using EarReferral.Delivery;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Intake;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Sending;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Referrals;

/// <summary>What named people do to the sending of a referral, and what they see of its attempts.</summary>
internal static class OperatorEndpoints
{
    /// <summary>Maps the addresses.</summary>
    public static void MapOperator(this IEndpointRouteBuilder routes)
    {
        var referrals = routes.MapGroup("/referrals/{id}").WithTags("Referrals");
        Answers(referrals.MapPost("/hold", HoldAsync).WithSummary("Keep back a referral that waits to be sent. Its clocks go on."));
        Answers(referrals.MapPost("/release", ReleaseAsync).WithSummary("Let a held referral go out now."));
        Answers(referrals.MapPost("/resend", ResendAsync).WithSummary("Send now what waits for its next attempt or stopped for a person: the same bytes under the same keys."));
        Answers(referrals.MapPost("/redirect", RedirectAsync).WithSummary("Send a referral to another destination, with new keys. Possible until a receiver has begun, and after it returned the referral."));
        Answers(referrals.MapPost("/objection", OverrideObjectionAsync).WithSummary("A named clinician or clinical lead decides that a referral is sent although the patient objects to sharing with its receiver, such as to protect a life, and whom they told by phone. To respect the objection, close it with patientDeclined."));
        referrals.MapGet("/attempts", AttemptsAsync)
            .WithSummary("Every attempt to send it: when, status, outcome and the receiver's issues without their words, which may be clinical.")
            .Produces<AttemptList>()
            .ProducesProblem(StatusCodes.Status404NotFound);
    }

    private static void Answers(RouteHandlerBuilder route) => route
        .Produces<ReferralView>()
        .ProducesProblem(StatusCodes.Status404NotFound)
        .ProducesProblem(StatusCodes.Status409Conflict)
        .ProducesProblem(StatusCodes.Status422UnprocessableEntity);

    internal static Task<IResult> HoldAsync(string id, HoldRequest request, HttpContext context, SendControl control) =>
        ActAsync(id, request.Problems(), context, () => control.HoldAsync(Callers.Clinic(context), id, Act(context, request, request.Reason), context.RequestAborted));

    internal static Task<IResult> ReleaseAsync(string id, OperatorRequest request, HttpContext context, SendControl control) =>
        ActAsync(id, request.Problems(), context, () => control.ReleaseAsync(Callers.Clinic(context), id, Act(context, request), context.RequestAborted), "not-held", "Only a held referral can be released; its delivery state says where it stands.");

    internal static Task<IResult> ResendAsync(string id, OperatorRequest request, HttpContext context, SendControl control) =>
        ActAsync(
            id, request.Problems(), context, () => control.ResendAsync(Callers.Clinic(context), id, Act(context, request), context.RequestAborted), "not-resendable",
            "Only what waits or stopped for a person is sent again. What was delivered is not, a held one is released, and one that a correction has overtaken is never sent again.");

    internal static Task<IResult> RedirectAsync(string id, RedirectRequest request, HttpContext context, Redirection redirection) =>
        ActAsync(
            id, request.Problems(), context, () => redirection.RedirectAsync(Callers.Clinic(context), id, request.Destination!, Act(context, request, request.Reason, request.Told), context.RequestAborted), "not-redirectable",
            "It can go to a configured destination that takes its tier and is not the present one, until a receiver has begun with it, or after it was returned.");

    internal static Task<IResult> OverrideObjectionAsync(string id, ObjectionDecision request, HttpContext context, SendControl control) =>
        ActAsync(
            id, request.Problems(), context, () => control.OverrideObjectionAsync(Callers.Clinic(context), id, Act(context, request, $"{request.Role}: {request.Text}", request.Told), context.RequestAborted), "no-objection",
            "No objection of the patient stands against its receiver, or the referral is over.");

    private static OperatorAct Act(HttpContext context, OperatorRequest request, string? reason = null, string? told = null) => new(
        request.Person!, reason, told, context.RequestServices.GetRequiredService<TimeProvider>().GetUtcNow(), Callers.Actor, context.TraceIdentifier);

    private static async Task<IResult> ActAsync(
        string id, IReadOnlyList<EncounterProblem> problems, HttpContext context, Func<Task<OperatorOutcome>> act, string type = "not-waiting", string detail = "Only a referral that waits to be sent can be held back.")
    {
        var services = context.RequestServices;
        if (problems.Count > 0)
        {
            return Refused(problems);
        }

        switch (await act())
        {
            case OperatorOutcome.Done:
                services.GetRequiredService<DeliverySignal>().Ring();
                return await ReferralEndpoints.GetAsync(
                    id, context, services.GetRequiredService<ReferralStore>(), services.GetRequiredService<Outbox>(), services.GetRequiredService<IOptions<GatewayOptions>>(), services.GetRequiredService<IOptions<DeliveryOptions>>());
            case OperatorOutcome.NotFound:
                return IntakeProblem.NotFound();
            case OperatorOutcome.AttemptUnderWay:
                return IntakeProblem.Problem(StatusCodes.Status409Conflict, "attempt-under-way", "It is being sent at this moment", "Nothing was changed. Read it again in a minute; then it is known what the receiver has.");
            case OperatorOutcome.NobodyTold:
                return Refused([IntakeProblems.OperatorTold.At("/told")]);
            case OperatorOutcome.PatientObjects:
                return IntakeProblem.Problem(StatusCodes.Status409Conflict, "patient-objects", "The patient objects to sharing with this receiver", "Nothing was sent. Phone first where it is urgent. A named clinician decides by POST /referrals/{id}/objection, or closes the referral.");
            case OperatorOutcome.WrongState:
                return IntakeProblem.Problem(StatusCodes.Status409Conflict, type, "The referral is not where this can be done", $"Nothing was changed. {detail}");
            default:
                throw new System.Diagnostics.UnreachableException("OperatorOutcome has no other value.");
        }
    }

    private static async Task<IResult> AttemptsAsync(string id, HttpContext context, ReferralStore store, Outbox outbox)
    {
        var (reach, stop) = (Callers.Clinic(context), context.RequestAborted);
        if (await store.FindAsync(reach, id, stop) is null)
        {
            return IntakeProblem.NotFound();
        }

        var attempts = await outbox.AttemptsAsync(reach, id, stop);
        return Results.Ok(new AttemptList(
            [.. attempts.Select(attempt => new AttemptView(attempt.Attempt.At, attempt.Attempt.StatusCode, attempt.Attempt.Outcome, attempt.Attempt.DurationMilliseconds, attempt.LeaseLost, Issues(attempt.Attempt.Issues)))]));
    }

    /// <summary>Severity, code and place; what the receiver wrote beside them may name a patient or a finding.</summary>
    private static List<AttemptIssue> Issues(string? json) => json is null
        ? []
        : [.. JsonElement.Parse(json).EnumerateArray().Select(issue => new AttemptIssue(Text(issue, "severity"), Text(issue, "code"), Text(issue, "expression")))];

    private static string? Text(JsonElement issue, string member) => issue.TryGetProperty(member, out var value) ? value.GetString() : null;

    internal static IResult Refused(IReadOnlyList<EncounterProblem> problems) => IntakeProblem.Problem(
        StatusCodes.Status422UnprocessableEntity, "request-refused", "It was not done", "Nothing was changed. Complete the places listed and post it again.", new()
        {
            ["errors"] = problems.Select(problem => new { id = problem.Id, pointer = problem.Pointer, detail = problem.Sentence }),
        });
}

internal sealed record AttemptList(IReadOnlyList<AttemptView> Items);

internal sealed record AttemptView(DateTimeOffset At, int? Status, string Outcome, long Milliseconds, bool LeaseLost, IReadOnlyList<AttemptIssue> Issues);

internal sealed record AttemptIssue(string? Severity, string? Code, string? Expression);
