namespace EarReferral.Delivery.Decisions;

/// <summary>Judges an answer to a transaction: one row per kind of answer, documented in docs/delivery.md.</summary>
/// <remarks>
/// Statuses of a transaction: FHIR R4 RESTful API, "batch/transaction". Groups of issue codes: FHIR R4 issue-type. Retry-After:
/// RFC 9110 10.2.3. Idempotency key: Internet-Draft "The Idempotency-Key HTTP Header Field". Where they leave a choice, a verdict
/// on the content or the address counts only when the FHIR system itself spoke: the error page of a proxy that restarts must not
/// stop a destination for good. Success counts only when the body proves it.
/// </remarks>
internal static class AnswerReading
{
    /// <summary>The decision that follows from an answer.</summary>
    public static Verdict Read(Answer answer, AttemptContext context) => answer.StatusCode switch
    {
        200 when Proves(answer.Body, context.Entries) is { } entries => new Verdict.Delivered(entries),
        201 when context.Entries == 1 && answer.Location is not null => new Verdict.Delivered([new EntryAnswer("201", answer.Location, answer.ETag)]),
        202 when answer.ContentLocation is { } location => new Verdict.PollAsync(location, Wait(answer, context)),
        200 when answer is { Body: AnswerBody.Other, EchoesRequestId: false } => new Verdict.Probe(ProbeReason.PageInsteadOfAnswer),
        >= 200 and <= 299 => new Verdict.Probe(ProbeReason.UnprovenSuccess),
        >= 300 and <= 399 => new Verdict.ParkDestination(ParkReason.Redirected),
        403 or 404 or 405 or 406 or 410 or 413 or 415 when FromIntermediary(answer) => Retry(RetryReason.IntermediaryAnswered, answer, context, possiblyProcessed: true),
        401 => new Verdict.ParkDestination(ParkReason.NotAuthenticated),
        403 => new Verdict.ParkDestination(ParkReason.NotAllowed),
        404 or 405 or 406 or 410 or 415 or 501 => new Verdict.ParkDestination(ParkReason.EndpointWrong),
        408 or 425 => Retry(RetryReason.NotProcessedInTime, answer, context, possiblyProcessed: false),
        413 or 414 or 431 => new Verdict.NeedsHuman(HumanReason.TooLarge),
        429 => new Verdict.Retry(RetryReason.Throttled, Wait(answer, context), PossiblyProcessed: false, CountsAsFailure: false),
        502 or 503 or 504 => Retry(RetryReason.Unavailable, answer, context, possiblyProcessed: true),
        409 => Conflict(answer, context),
        422 when AboutIdempotencyKey(answer.Body) => new Verdict.ParkDestination(ParkReason.KeyReused),
        >= 400 and <= 499 when FromIntermediary(answer) => Retry(RetryReason.IntermediaryAnswered, answer, context, possiblyProcessed: true),
        400 => new Verdict.NeedsHuman(HumanReason.Malformed),
        412 => new Verdict.NeedsHuman(Names(answer, "multiple-matches") ? HumanReason.MultipleMatches : HumanReason.PreconditionFailed),
        422 => new Verdict.NeedsHuman(HumanReason.RejectedByRule),
        _ => ByIssues(answer, context),
    };

    /// <summary>The decision when no whole answer came.</summary>
    public static Verdict Read(TransportFault fault) => fault switch
    {
        TransportFault.NotConnected => new Verdict.Retry(RetryReason.NotConnected, null, PossiblyProcessed: false, CountsAsFailure: true),
        TransportFault.TimedOut => new Verdict.Retry(RetryReason.TimedOut, null, PossiblyProcessed: true, CountsAsFailure: true),
        TransportFault.ConnectionLost => new Verdict.Retry(RetryReason.ConnectionLost, null, PossiblyProcessed: true, CountsAsFailure: true),
        TransportFault.NotTrusted => new Verdict.ParkDestination(ParkReason.NotTrusted),
        TransportFault.NoToken => new Verdict.Retry(RetryReason.NoToken, null, PossiblyProcessed: false, CountsAsFailure: true),
        TransportFault.TokenRefused => new Verdict.ParkDestination(ParkReason.TokenRefused),
    };

    private static IReadOnlyList<EntryAnswer>? Proves(AnswerBody body, int entries) =>
        body is AnswerBody.TransactionResponse response && response.Entries.Count == entries && response.Entries.All(entry => entry.Succeeded)
            ? response.Entries
            : null;

    private static Verdict Conflict(Answer answer, AttemptContext context)
    {
        if (Names(answer, "duplicate"))
        {
            return new Verdict.Probe(ProbeReason.ReportedDuplicate);
        }

        // Without an OperationOutcome a 409 is the idempotency draft's "still being processed" or a proxy's; both may be sent again.
        return answer.Body is AnswerBody.Outcome && !Names(answer, "conflict") && !Names(answer, "lock-error")
            ? new Verdict.NeedsHuman(HumanReason.BusinessConflict)
            : Retry(RetryReason.Contention, answer, context, possiblyProcessed: true);
    }

    private static Verdict ByIssues(Answer answer, AttemptContext context)
    {
        var kind = answer.Body is AnswerBody.Outcome outcome ? IssueKinds.Worst(outcome.Issues) : IssueKind.Unknown;
        return kind switch
        {
            IssueKind.Invalid or IssueKind.Processing => new Verdict.NeedsHuman(HumanReason.FinalError),
            IssueKind.Security => new Verdict.ParkDestination(ParkReason.NotAllowed),
            IssueKind.Transient => Retry(RetryReason.ServerError, answer, context, possiblyProcessed: true),
            IssueKind.Informational or IssueKind.Unknown => answer.StatusCode >= 500
                ? Retry(RetryReason.ServerError, answer, context, possiblyProcessed: true)
                : new Verdict.NeedsHuman(HumanReason.FinalError),
        };
    }

    private static bool AboutIdempotencyKey(AnswerBody body) => body switch
    {
        AnswerBody.Other other => other.AboutIdempotencyKey,
        AnswerBody.Outcome outcome => outcome.Issues.Any(issue => issue.Text?.Contains("idempotency", StringComparison.OrdinalIgnoreCase) is true),
        _ => false,
    };

    private static bool FromIntermediary(Answer answer) => answer.Body is not AnswerBody.Outcome && !answer.EchoesRequestId;

    private static bool Names(Answer answer, string code) =>
        answer.Body is AnswerBody.Outcome outcome && outcome.Issues.Any(issue => string.Equals(issue.Code, code, StringComparison.Ordinal));

    private static Verdict.Retry Retry(RetryReason reason, Answer answer, AttemptContext context, bool possiblyProcessed) =>
        new(reason, Wait(answer, context), possiblyProcessed, CountsAsFailure: true);

    private static TimeSpan? Wait(Answer answer, AttemptContext context) => RetryAfter.Read(answer.RetryAfter, answer.Date ?? context.Now);
}
