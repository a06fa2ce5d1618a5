using EarReferral.Delivery.Decisions;
using EarReferral.Storage.Sending;

namespace EarReferral.Delivery.Sending;

/// <summary>One exchange about one referral: ask first if need be, send, and follow the answer until it says something final.</summary>
internal sealed class Exchange(EntClient client, TimeProvider clock)
{
    private static readonly TimeSpan FirstPoll = TimeSpan.FromSeconds(2);
    private static readonly TimeSpan PollingPatience = TimeSpan.FromMinutes(2);

    /// <summary>Runs it.</summary>
    public async Task<ExchangeResult> RunAsync(
        DestinationOptions destination, OutgoingRequest request, RequestFacts facts, AttemptHistory history, CancellationToken cancellationToken)
    {
        if (request.Mode == ExchangeMode.Message)
        {
            // A receiver of messages need not search; it knows a message that it has had by its id.
            return await client.SendAsync(destination, request, cancellationToken) switch
            {
                AttemptResult.Answered(var answer) => new ExchangeResult(MessageReading.Read(answer, Context(facts), request.RequestId), answer.StatusCode, Issues(answer)),
                AttemptResult.Unanswered(var fault) => new ExchangeResult(AnswerReading.Read(fault), null, []),
                _ => throw new System.Diagnostics.UnreachableException("An attempt is answered or unanswered."),
            };
        }

        if (request.IsCorrection)
        {
            // A search finds the earlier request too, so it proves nothing; the same updates and conditional creates may be sent again without harm.
            var corrected = Judge(await client.SendAsync(destination, request, cancellationToken), facts);
            return corrected.Verdict switch
            {
                Verdict.PollAsync asked => Unproven(await PollAsync(destination, request, facts, asked, cancellationToken), history),
                _ => Unproven(corrected, history),
            };
        }

        if (history.Probe is { } open && await ProbeAsync(destination, request, facts, history, open, cancellationToken) is { } known)
        {
            return known;
        }

        var result = await client.SendAsync(destination, request, cancellationToken);
        var judged = Judge(result, facts);
        if (judged.Verdict is Verdict.PollAsync poll)
        {
            judged = await PollAsync(destination, request, facts, poll, cancellationToken);
        }

        if (judged.Verdict is Verdict.Probe probe)
        {
            var confirmed = await ProbeAsync(destination, request, facts, history, probe.Reason, cancellationToken);
            return (confirmed ?? judged) with { StatusCode = judged.StatusCode, Issues = judged.Issues };
        }

        return judged;
    }

    private async Task<ExchangeResult?> ProbeAsync(
        DestinationOptions destination, OutgoingRequest request, RequestFacts facts, AttemptHistory history, ProbeReason reason, CancellationToken cancellationToken)
    {
        var result = await client.ProbeAsync(destination, request, facts.ServiceRequestIdentifier, cancellationToken);
        var (finding, entries) = result is AttemptResult.Answered(var answer)
            ? ProbeReading.Read(answer, facts.ServiceRequestIdentifier)
            : (ProbeFinding.Unclear, []);
        return ProbeReading.Decide(reason, finding, entries, history.UnprovenBefore) is { } verdict
            ? new ExchangeResult(verdict, (result as AttemptResult.Answered)?.Answer.StatusCode, [])
            : null;
    }

    private async Task<ExchangeResult> PollAsync(
        DestinationOptions destination, OutgoingRequest request, RequestFacts facts, Verdict.PollAsync poll, CancellationToken cancellationToken)
    {
        if (!Uri.TryCreate(destination.BaseUrl, poll.ContentLocation, out var location) || !SameOrigin(location, destination.BaseUrl!))
        {
            return new ExchangeResult(new Verdict.ParkDestination(ParkReason.ForeignPollLocation), 202, []);
        }

        var end = clock.GetUtcNow() + PollingPatience;
        var wait = poll.Wait ?? FirstPoll;
        while (clock.GetUtcNow() + wait <= end)
        {
            await Task.Delay(wait, clock, cancellationToken);
            var result = await client.PollAsync(destination, request, location, cancellationToken);
            var judged = Judge(result, facts);
            switch (judged.Verdict)
            {
                case Verdict.PollAsync again:
                    wait = again.Wait ?? wait * 2;
                    break;
                case Verdict.Retry { Wait: { } asked }:
                    wait = asked;
                    break;
                case Verdict.Probe when judged.StatusCode == 202:
                case Verdict.Retry:
                    // Still running, or the question got lost on the way; the question can be put again without harm.
                    wait *= 2;
                    break;
                case Verdict.ParkDestination when judged.StatusCode is 404 or 410:
                    // The result is no longer kept; that says nothing about the address that referrals are sent to.
                    return Outstanding();
                default:
                    return judged;
            }
        }

        return Outstanding();
    }

    private static ExchangeResult Unproven(ExchangeResult result, AttemptHistory history) => result.Verdict is not Verdict.Probe probe ? result : result with
    {
        Verdict = (probe.Reason, history.UnprovenBefore) switch
        {
            (ProbeReason.PageInsteadOfAnswer, _) => new Verdict.Retry(RetryReason.IntermediaryAnswered, null, PossiblyProcessed: true, CountsAsFailure: true),
            (ProbeReason.ReportedDuplicate, _) => new Verdict.NeedsHuman(HumanReason.DuplicateNotFound),
            (_, true) => new Verdict.NeedsHuman(HumanReason.AnswersProveNothing),
            _ => new Verdict.Retry(RetryReason.NotFoundByProbe, null, PossiblyProcessed: true, CountsAsFailure: true),
        },
    };

    private static ExchangeResult Outstanding() =>
        new(new Verdict.Retry(RetryReason.ResultOutstanding, null, PossiblyProcessed: true, CountsAsFailure: true), 202, []);

    private ExchangeResult Judge(AttemptResult result, RequestFacts facts) => result switch
    {
        AttemptResult.Answered(var answer) => new ExchangeResult(
            AnswerReading.Read(answer, Context(facts)),
            answer.StatusCode,
            Issues(answer)),
        AttemptResult.Unanswered(var fault) => new ExchangeResult(AnswerReading.Read(fault), null, []),
        _ => throw new System.Diagnostics.UnreachableException("An attempt is answered or unanswered."),
    };

    private AttemptContext Context(RequestFacts facts) => new(facts.Entries, clock.GetUtcNow());

    private static IReadOnlyList<AnswerIssue> Issues(Answer answer) => answer.Body switch
    {
        AnswerBody.Outcome outcome => outcome.Issues,
        AnswerBody.MessageResponse message => message.Issues,
        _ => [],
    };

    private static bool SameOrigin(Uri one, Uri other) =>
        Uri.Compare(one, other, UriComponents.SchemeAndServer, UriFormat.SafeUnescaped, StringComparison.OrdinalIgnoreCase) == 0;
}
