namespace EarReferral.Delivery.Decisions;

/// <summary>Judges an answer to <c>$process-message</c> where it differs from one to a transaction.</summary>
/// <remarks>
/// FHIR R4 OperationDefinition MessageHeader-process-message and R4 messaging, "reliable messaging": 200 with a response message, 204 processed,
/// 202 custody taken; a receiver that knows the message id gives its first answer again, so that sending again is always safe.
/// </remarks>
internal static class MessageReading
{
    /// <summary>The decision that follows from an answer; it never asks for a probe, because a receiver of messages need not search.</summary>
    public static Verdict Read(Answer answer, AttemptContext context, string messageId) => answer switch
    {
        { StatusCode: 200, Body: AnswerBody.MessageResponse response } when !string.Equals(response.Identifier, messageId, StringComparison.OrdinalIgnoreCase) =>
            new Verdict.Retry(RetryReason.NotFoundByProbe, null, PossiblyProcessed: true, CountsAsFailure: true),
        { StatusCode: 200, Body: AnswerBody.MessageResponse { Code: "ok" } } => new Verdict.Delivered([]),
        { StatusCode: 200, Body: AnswerBody.MessageResponse { Code: "transient-error" } } => new Verdict.Retry(RetryReason.ServerError, RetryAfter.Read(answer.RetryAfter, answer.Date ?? context.Now), PossiblyProcessed: false, CountsAsFailure: true),
        { StatusCode: 200, Body: AnswerBody.MessageResponse } => new Verdict.NeedsHuman(HumanReason.FinalError),
        // An empty 202 or 204 of something in front of the receiver would prove nothing; the receiver itself repeats our ids.
        { StatusCode: 202 or 204, EchoesRequestId: true } => new Verdict.Delivered([]),
        _ => AnswerReading.Read(answer, context) switch
        {
            Verdict.Probe { Reason: ProbeReason.ReportedDuplicate } => new Verdict.Delivered([]),
            Verdict.Probe { Reason: ProbeReason.PageInsteadOfAnswer } => new Verdict.Retry(RetryReason.IntermediaryAnswered, null, PossiblyProcessed: true, CountsAsFailure: true),
            Verdict.Probe or Verdict.PollAsync or Verdict.Delivered => new Verdict.Retry(RetryReason.ProbeFailed, null, PossiblyProcessed: true, CountsAsFailure: true),
            var same => same,
        },
    };
}
