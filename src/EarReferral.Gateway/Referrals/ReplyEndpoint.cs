using System.ComponentModel;
using System.Globalization;
using EarReferral.Delivery;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Intake;
using EarReferral.Mapping.Referral;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Sending;
using EarReferral.Validation;
using Microsoft.Extensions.Options;
using FhirTask = Hl7.Fhir.Model.Task;

namespace EarReferral.Gateway.Referrals;

/// <summary>The clinic's answer to a question of the receiver.</summary>
internal sealed record Reply
{
    [Description("Who answers, by name.")]
    public string? Person { get; init; }

    [Description("When it was answered.")]
    public DateTimeOffset? At { get; init; }

    [Description("The answer, as the receiver is to read it.")]
    public string? Text { get; init; }

    [Description("electronic: the receiver reads it as a Communication of ours. phone, letter or email: it was also told that way.")]
    public string? Channel { get; init; }

    /// <summary>Everything that is wrong with it.</summary>
    public IReadOnlyList<EncounterProblem> Problems(DateTimeOffset now) =>
    [
        .. AnswerByHand.Fits(Person, 200) ? Array.Empty<EncounterProblem>() : [IntakeProblems.ReplyPerson.At("/person")],
        .. At is { } at && at <= now.AddMinutes(5) ? Array.Empty<EncounterProblem>() : [IntakeProblems.HandTime.At("/at")],
        .. AnswerByHand.Fits(Text, 4000) ? Array.Empty<EncounterProblem>() : [IntakeProblems.ReplyText.At("/text")],
        .. Channel is "electronic" or "phone" or "letter" or "email" ? Array.Empty<EncounterProblem>() : [IntakeProblems.ReplyChannel.At("/channel")],
    ];
}

/// <summary>Takes replies: <c>POST /referrals/{id}/replies</c>.</summary>
internal static class ReplyEndpoint
{
    /// <summary>Maps the address.</summary>
    public static void MapReplies(this IEndpointRouteBuilder routes) => routes.MapPost("/referrals/{id}/replies", ReplyAsync)
        .WithTags("Referrals")
        .WithSummary("Answer a question of the receiver. The answer becomes a Communication that the receiver reads, and stops the clock of the reply; the same answer again changes nothing.")
        .Produces<ReferralView>()
        .ProducesProblem(StatusCodes.Status404NotFound)
        .ProducesProblem(StatusCodes.Status409Conflict)
        .ProducesProblem(StatusCodes.Status422UnprocessableEntity);

    internal static async Task<IResult> ReplyAsync(
        string id, Reply reply, HttpContext context, ReferralStore store, ResourceStore resources, ReferralValidator validator, Outbox outbox, TimeProvider clock, IOptions<GatewayOptions> gateway, IOptions<DeliveryOptions> delivery)
    {
        var (reach, stop, now) = (Callers.Clinic(context), context.RequestAborted, clock.GetUtcNow());
        if (await store.FindAsync(reach, id, stop) is not { } referral || await resources.ReadAsync(reach, "Task", referral.TaskId, stop) is not { } stored)
        {
            return IntakeProblem.NotFound();
        }

        if (reply.Problems(now) is { Count: > 0 } problems)
        {
            return OperatorEndpoints.Refused(problems);
        }

        if (referral.BusinessStatus != "awaiting-information" || referral.State == ReferralState.Closed)
        {
            return IntakeProblem.Problem(StatusCodes.Status409Conflict, "nothing-asked", "The receiver has asked nothing", "Nothing was changed. A reply answers a question that the receiver has put; where it came by telephone, letter or e-mail, record it first (answers-by-hand).");
        }

        var communication = ReplyMapper.Map((FhirTask)stored.Parse(), reply.Person!, reply.Text!, reply.At!.Value);
        if (validator.Validate(communication) is { IsValid: false } report)
        {
            // Our own mapping has a fault; a person must answer by telephone, and nobody may believe that it was sent.
            throw new InvalidOperationException($"A reply does not meet its profile: {string.Join(' ', report.Issues.Select(issue => issue.RuleId).Distinct())}");
        }

        await store.AttachAsync(
            reach,
            id,
            communication,
            new ReferralEvent(now, ClockReader.Replied, Callers.Actor, Detail: string.Create(CultureInfo.InvariantCulture, $"by {reply.Channel}, {reply.Person}; Communication/{communication.Id}")),
            context.TraceIdentifier,
            stop);
        return await ReferralEndpoints.GetAsync(id, context, store, outbox, gateway, delivery);
    }
}
