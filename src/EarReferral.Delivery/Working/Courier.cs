using System.Collections.Concurrent;
using System.Security.Cryptography;
using System.Text.Json;
using EarReferral.Delivery.Decisions;
using EarReferral.Delivery.Sending;
using EarReferral.Referrals.Clocks;
using EarReferral.Storage;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Sending;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;

namespace EarReferral.Delivery.Working;

/// <summary>Takes the most urgent waiting referral of a destination through one attempt and records what came of it.</summary>
internal sealed class Courier(
    Outbox outbox,
    ReferralStore referrals,
    DestinationStore destinations,
    Withdrawals withdrawals,
    Exchange exchange,
    OverdueAlarm alarm,
    TimeProvider clock,
    IOptions<DeliveryOptions> options,
    ILogger<Courier> logger)
{
    /// <summary>Timeline word for an attempt that begins; what a later worker finds when this process dies while sending.</summary>
    public const string Sending = "sending";

    /// <summary>Timeline word that asks a person to look at the way to the ENT system.</summary>
    public const string OnlyIntermediary = "only-intermediary";

    // Common practice, no source: long enough for a proxy that restarts, short enough for somebody to look the same hour.
    private const int IntermediaryPatience = 5;


    private static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web);
    private static readonly Reach Everywhere = new Reach.Everything("delivery");

    // What this process sends just now, by the lanes of all destinations: leases end while it sleeps, its sends do not.
    private readonly ConcurrentDictionary<string, string> underWay = new(StringComparer.Ordinal);

    /// <summary>One attempt; false when nothing may be sent now.</summary>
    public async Task<bool> DeliverNextAsync(string name, DestinationOptions destination, Agenda agenda, CancellationToken cancellationToken)
    {
        var claim = await outbox.ClaimAsync(name, clock.GetUtcNow(), options.Value.Lease, [.. underWay.Keys], cancellationToken);
        if (claim is null)
        {
            return false;
        }

        underWay[claim.ReferralId] = name;

        using var held = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        using var renewal = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        var renewing = RenewAsync(claim, destination, held, renewal.Token);
        var begun = clock.GetUtcNow();
        try
        {
            await DeliverAsync(claim, destination, agenda, begun, held.Token);
        }
        catch (OperationCanceledException) when (cancellationToken.IsCancellationRequested)
        {
            await RecordAsync(claim, begun, OutcomeWords.Stopped, RetryAt(begun, OutcomeWords.Stopped, destination));
            throw;
        }
        catch (OperationCanceledException) when (held.IsCancellationRequested)
        {
            await RecordAsync(claim, begun, OutcomeWords.Unknown, RetryAt(begun, OutcomeWords.Unknown, destination));
        }
#pragma warning disable CA1031 // Whatever goes wrong with one referral must not stop the others; it is logged and tried again.
        catch (Exception fault)
#pragma warning restore CA1031
        {
            Log.ReferralFault(logger, fault, claim.ReferralId, name);
            var next = clock.GetUtcNow() + Backoff.Wait(claim.ReferralId, claim.AttemptsBefore + 1, TimeSpan.FromMinutes(1), Urgency(claim));
            await RecordAsync(claim, begun, OutcomeWords.InternalError, RetryAt(next, OutcomeWords.InternalError, destination));
            agenda.Plan(next);
        }
        finally
        {
            underWay.TryRemove(claim.ReferralId, out _);
            await renewal.CancelAsync();
            await renewing;
        }

        return true;
    }

    private static ReferralUrgency Urgency(ClaimedSend claim) =>
        // A tier that cannot be read is handled as the most urgent one, never as the least.
        UrgencyTiers.Read(claim.Tier) ?? ReferralUrgency.Emergency;

    private async Task DeliverAsync(ClaimedSend claim, DestinationOptions destination, Agenda agenda, DateTimeOffset begun, CancellationToken cancellationToken)
    {
        // A correction may be that very withdrawal; one that outdates it has replaced its bytes.
        if (claim.Correction is null && await withdrawals.FindAsync(claim.ReferralId, cancellationToken) is { } withdrawn)
        {
            Log.Withdrawn(logger, claim.ReferralId, claim.Destination);
            await RecordAsync(claim, begun, OutcomeWords.Withdrawn, new SendDecision.NeedsHuman(withdrawn));
            return;
        }

        var history = await HistoryAsync(claim, cancellationToken);
        var facts = IsUnchanged(claim) ? RequestFacts.Read(claim.Request, claim.Correction is not null) : null;
        if (facts is null)
        {
            await ApplyAsync(claim, destination, agenda, begun, history, new ExchangeResult(new Verdict.NeedsHuman(HumanReason.StoredRequestUnusable), null, []));
            return;
        }

        // The last moment to see that this process slept through its lease: from here on bytes leave.
        if (!await outbox.BeginAsync(claim, new ReferralEvent(begun, Sending, "delivery"), clock.GetUtcNow(), options.Value.Lease, destination.SettlingTime, cancellationToken))
        {
            await RecordAsync(claim, begun, OutcomeWords.Unknown, new SendDecision.RetryAt(begun));
            return;
        }

        var mode = (await destinations.FindAsync(claim.Destination, cancellationToken)).Mode ?? ExchangeMode.Transaction;
        var request = new OutgoingRequest(
            mode == ExchangeMode.Message ? MessageBundle.Of(claim.Request, claim.IdempotencyKey, claim.QueuedAt, options.Value.Source, destination.BaseUrl!) : claim.Request,
            claim.IdempotencyKey,
            claim.CorrelationId,
            mode,
            claim.Correction is not null);
        var result = await exchange.RunAsync(destination, request, facts, history, cancellationToken);
        await ApplyAsync(claim, destination, agenda, begun, history, result);
    }

    private async Task<AttemptHistory> HistoryAsync(ClaimedSend claim, CancellationToken cancellationToken)
    {
        var ended = await outbox.AttemptsAsync(Everywhere, claim.ReferralId, cancellationToken);
        var timeline = await referrals.TimelineAsync(Everywhere, claim.ReferralId, cancellationToken);
        // What became of the referral itself says nothing about its correction.
        var since = claim.Correction is null ? DateTimeOffset.MinValue : timeline.Last(entry => entry.Kind == "correction-queued").At;
        return AttemptHistory.Read(
            [.. ended.Where(stored => stored.Attempt.At >= since).Select(stored => (stored.Attempt.At, stored.Attempt.Outcome))],
            timeline.LastOrDefault(entry => entry.Kind == Sending && entry.At >= since)?.At);
    }

    private async Task ApplyAsync(
        ClaimedSend claim, DestinationOptions destination, Agenda agenda, DateTimeOffset begun, AttemptHistory history, ExchangeResult result)
    {
        var now = clock.GetUtcNow();
        var word = OutcomeWords.Of(result.Verdict);
        var next = now + (result.Verdict is Verdict.Retry { Wait: { } asked }
            ? asked
            : Backoff.Wait(claim.ReferralId, history.Attempts + 1, begun - (history.FirstAt ?? begun), Urgency(claim)));
        SendDecision decision = result.Verdict switch
        {
            Verdict.Delivered delivered => new SendDecision.Delivered(JsonSerializer.Serialize(delivered.Entries, Json)),
            Verdict.NeedsHuman => new SendDecision.NeedsHuman($"The ENT system's answer needs a person: {word}."),
            _ => RetryAt(next, word, destination),
        };
        if (result.Verdict is Verdict.ParkDestination)
        {
            // Before the outcome is recorded: no other lane may try the same wrong address in between.
            await destinations.PauseAsync(claim.Destination, paused: true, "delivery", now, CancellationToken.None);
            Log.Parked(logger, claim.Destination, word, result.StatusCode);
        }

        var issues = result.Issues.Count == 0 ? null : JsonSerializer.Serialize(result.Issues, Json);
        if (!await RecordAsync(claim, begun, word, decision, result.StatusCode, issues))
        {
            return;
        }

        await ChangeBreakerAsync(claim.Destination, result.Verdict, next, now);
        if (result.Verdict is Verdict.Retry { Reason: RetryReason.Throttled })
        {
            Log.Throttled(logger, claim.Destination, next);
        }

        Report(claim, history, result, word, next);
        if (decision is SendDecision.RetryAt)
        {
            agenda.Plan(next);
            await alarm.RaiseIfLateAsync(
                claim.ReferralId, claim.Tier, claim.EvaluatedAt, destination, claim.Destination, next, CancellationToken.None);
        }

        if (result.Verdict is Verdict.Retry { Reason: RetryReason.IntermediaryAnswered } && history.IntermediaryRun + 1 == IntermediaryPatience)
        {
            await RaiseIntermediaryAsync(claim);
        }
    }

    private Task<bool> RaiseIntermediaryAsync(ClaimedSend claim)
    {
        Log.OnlyIntermediary(logger, claim.ReferralId, claim.Destination, IntermediaryPatience);
        return referrals.AppendEventAsync(
            Everywhere,
            claim.ReferralId,
            new ReferralEvent(
                clock.GetUtcNow(),
                OnlyIntermediary,
                "delivery",
                Detail: $"{IntermediaryPatience} times in a row something in front of the ENT system answered. Have address and network checked. Sending goes on meanwhile."),
            CancellationToken.None);
    }

    private Task<BreakerState> ChangeBreakerAsync(string destination, Verdict verdict, DateTimeOffset next, DateTimeOffset now) => destinations.ChangeBreakerAsync(
        destination,
        before => verdict switch
        {
            Verdict.Retry { Reason: RetryReason.Throttled } => BreakerPolicy.AfterThrottling(before, next),
            Verdict.Retry { CountsAsFailure: true } or Verdict.ParkDestination => BreakerPolicy.AfterFailure(before, now),
            _ => BreakerPolicy.AfterAnswer(before, now),
        },
        CancellationToken.None);

    private void Report(ClaimedSend claim, AttemptHistory history, ExchangeResult result, string word, DateTimeOffset next)
    {
        switch (result.Verdict)
        {
            case Verdict.Delivered:
                Log.Delivered(logger, claim.ReferralId, claim.Destination, history.Attempts + 1);
                break;
            case Verdict.NeedsHuman:
                Log.NeedsHuman(logger, claim.ReferralId, claim.Destination, word, result.StatusCode, result.Issues.Count);
                break;
            default:
                Log.WillRetry(logger, claim.ReferralId, claim.Destination, history.Attempts + 1, word, result.StatusCode, next);
                break;
        }
    }

    // Recording is never cancelled: what happened at the receiver has happened.
    private async Task<bool> RecordAsync(ClaimedSend claim, DateTimeOffset begun, string word, SendDecision decision, int? statusCode = null, string? issues = null)
    {
        var now = clock.GetUtcNow();
        var attempt = new AttemptRecord(begun, statusCode, word, issues, (long)(now - begun).TotalMilliseconds);
        var taken = await outbox.RecordAsync(claim, attempt, decision, now, CancellationToken.None);
        if (!taken)
        {
            Log.LeaseLost(logger, claim.ReferralId, claim.Destination);
        }

        return taken;
    }

    private async Task RenewAsync(ClaimedSend claim, DestinationOptions destination, CancellationTokenSource held, CancellationToken cancellationToken)
    {
        try
        {
            do
            {
                await Task.Delay(options.Value.Lease / 3, clock, cancellationToken);
            }
            while (await outbox.RenewAsync(claim, clock.GetUtcNow(), options.Value.Lease, destination.SettlingTime, cancellationToken));
            await held.CancelAsync();
        }
        catch (OperationCanceledException) when (cancellationToken.IsCancellationRequested)
        {
            // The attempt ended; there is nothing left to renew.
        }
    }

    private static SendDecision.RetryAt RetryAt(DateTimeOffset time, string word, DestinationOptions destination) =>
        new(time) { Settling = OutcomeWords.LeavesOpen(word) ? destination.SettlingTime : null };

    private static bool IsUnchanged(ClaimedSend claim) =>
        string.Equals(Convert.ToHexStringLower(SHA256.HashData(claim.Request.Span)), claim.RequestSha256, StringComparison.OrdinalIgnoreCase);
}
