using EarReferral.Storage.Audit;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Sending;

/// <summary>The durable queue of referrals to send. Delivery is at least once: the receiver drops repeats by the idempotency key.</summary>
public sealed class Outbox
{
    // Enough to find one that meets no send under way; each that is looked at costs one read of its request.
    private const int Candidates = 16;

    private readonly StoreDatabase database;

    internal Outbox(StoreDatabase database) => this.database = database;

    /// <summary>Takes the most urgent send of a destination, or null when none may go out now.</summary>
    /// <param name="destination">Destination; each has its own workers, so a slow one holds up no other.</param>
    /// <param name="now">Now.</param>
    /// <param name="lease">Longer than the whole send with all its quick retries, or renewed in time.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public Task<ClaimedSend?> ClaimAsync(string destination, DateTimeOffset now, TimeSpan lease, CancellationToken cancellationToken) =>
        ClaimAsync(destination, now, lease, [], cancellationToken);

    /// <summary>Takes the most urgent send of a destination beside those that this process itself has under way, or null when none may go out now.</summary>
    /// <param name="destination">Destination.</param>
    /// <param name="now">Now.</param>
    /// <param name="lease">Longer than the whole send with all its quick retries, or renewed in time.</param>
    /// <param name="own">Referrals that this process is sending; after it was put to sleep their leases are over and their bytes still leave.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public async Task<ClaimedSend?> ClaimAsync(
        string destination, DateTimeOffset now, TimeSpan lease, IReadOnlyCollection<string> own, CancellationToken cancellationToken)
    {
        // Looks before it locks: an idle worker must not take a lock away from intake or from workers of other machines.
        if (!await database.ReadAsync(store => store.Outbox.AnyAsync(
            row => row.Destination == destination && row.State == SendState.Waiting && row.NextAttemptAt <= now, cancellationToken)))
        {
            return null;
        }

        return await database.WriteAsync(store => ClaimAsync(store, destination, now, lease, own, cancellationToken), cancellationToken);
    }

    /// <summary>Extends a lease, and with it the time until what has left is settled. False when it was lost; then the worker must stop.</summary>
    public Task<bool> RenewAsync(ClaimedSend claim, DateTimeOffset now, TimeSpan lease, TimeSpan settling, CancellationToken cancellationToken) =>
        database.WriteAsync(store => RenewAsync(store, claim, now, lease, settling, cancellationToken), cancellationToken);

    /// <summary>
    /// Says that an attempt begins, in the timeline and by a renewed lease. False when the lease was lost, such as by a process
    /// that was suspended after its claim; then nothing may be sent.
    /// </summary>
    /// <param name="claim">The send.</param>
    /// <param name="begun">What the timeline says.</param>
    /// <param name="now">Now.</param>
    /// <param name="lease">The renewed lease.</param>
    /// <param name="settling">How long the receiver may still be storing what it was sent after this process was last heard of.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public Task<bool> BeginAsync(
        ClaimedSend claim, ReferralEvent begun, DateTimeOffset now, TimeSpan lease, TimeSpan settling, CancellationToken cancellationToken) =>
        database.WriteAsync(
            async store =>
            {
                var held = await RenewAsync(store, claim, now, lease, settling, cancellationToken);
                if (held)
                {
                    store.Add(ReferralWriter.Event(claim.ReferralId, begun));
                }

                return held;
            },
            cancellationToken);

    /// <summary>
    /// Records an attempt and what follows from it. False when the lease was lost: the attempt is kept as one whose end is not known,
    /// and its decision is not taken, because a newer worker's outcome counts. When a correction stopped the send meanwhile, a proof of delivery is still
    /// kept, and nothing makes it go out again.
    /// </summary>
    public Task<bool> RecordAsync(
        ClaimedSend claim, AttemptRecord attempt, SendDecision decision, DateTimeOffset now, CancellationToken cancellationToken) =>
        database.WriteAsync(store => RecordAsync(store, claim, attempt, decision, now, cancellationToken), cancellationToken);

    /// <summary>Gives a send back untried, such as when the service stops. False when the lease was lost.</summary>
    public Task<bool> ReturnAsync(ClaimedSend claim, CancellationToken cancellationToken) =>
        database.WriteAsync(
            async store => await store.Outbox
                .Where(row => row.ReferralId == claim.ReferralId && row.LeaseToken == claim.LeaseToken)
                .ExecuteUpdateAsync(
                    set => set
                        .SetProperty(row => row.LeaseToken, (Guid?)null)
                        .SetProperty(row => row.LeaseUntil, (DateTimeOffset?)null),
                    cancellationToken) == 1,
            cancellationToken);

    /// <summary>Attempts of a referral, oldest first; empty when it is not within reach.</summary>
    public Task<IReadOnlyList<StoredAttempt>> AttemptsAsync(Reach reach, string referralId, CancellationToken cancellationToken) =>
        database.ReadAsync<IReadOnlyList<StoredAttempt>>(async store => await store.Referrals.Within(reach)
            .Where(row => row.ReferralId == referralId)
            .Join(store.Attempts, row => row.ReferralId, attempt => attempt.ReferralId, (row, attempt) => attempt)
            .OrderBy(row => row.Id)
            .Select(row => new StoredAttempt(
                new AttemptRecord(row.At, row.StatusCode, row.Outcome, row.Issues, row.DurationMilliseconds), row.LeaseLost))
            .ToListAsync(cancellationToken));

    /// <summary>How much waits, per destination and state.</summary>
    public Task<IReadOnlyList<OutboxDepth>> DepthAsync(Reach reach, CancellationToken cancellationToken) =>
        database.ReadAsync<IReadOnlyList<OutboxDepth>>(async store =>
        {
            var rows = await store.Referrals.Within(reach)
                .Join(store.Outbox, referral => referral.ReferralId, send => send.ReferralId, (referral, send) => send)
                .GroupBy(send => new { send.Destination, send.State })
                .Select(group => new
                {
                    group.Key.Destination,
                    group.Key.State,
                    Count = group.Count(),
                    Oldest = group.Min(send => send.QueuedAt),
                    Due = group.Min(send => send.Due),
                })
                .ToListAsync(cancellationToken);
            return [.. rows
                .OrderBy(row => row.Destination, StringComparer.Ordinal).ThenBy(row => row.State)
                .Select(row => new OutboxDepth(row.Destination, row.State, row.Count, row.Oldest, Due(row.Due)))];
        });

    private static DateTimeOffset? Due(long due) => due == long.MaxValue ? null : DateTimeOffset.FromUnixTimeMilliseconds(due);

    private static async Task<ClaimedSend?> ClaimAsync(
        StoreContext store, string destination, DateTimeOffset now, TimeSpan lease, IReadOnlyCollection<string> own, CancellationToken cancellationToken)
    {
        var state = await store.Destinations.SingleOrDefaultAsync(row => row.Name == destination, cancellationToken);
        if (state is { Paused: true }
            || (state is { Breaker: not BreakerPosition.Closed, BreakerUntil: { } until } && until > now))
        {
            return null;
        }

        // One claim at a time: who meets whom can only be seen when no other claim is being made.
        await store.LockAsync($"send {destination}", cancellationToken);
        var leaseNow = await store.LeaseClockAsync(now, cancellationToken);
        var found = await store.NextSends(destination, now, leaseNow, Candidates).AsNoTracking().ToListAsync(cancellationToken);
        found.RemoveAll(row => own.Contains(row.ReferralId));
        if (await FirstContacts.ChooseAsync(store, destination, found, leaseNow, own, cancellationToken) is not { } send)
        {
            return null;
        }

        var isProbe = state is { Breaker: not BreakerPosition.Closed };
        if (isProbe)
        {
            // Only one worker gets through here: the change counter makes the second one start again and find it half open.
            state!.Breaker = BreakerPosition.HalfOpen;
            state.BreakerUntil = now + lease;
            state.Change++;
        }

        var token = Guid.NewGuid();
        var claimed = await store.Outbox
            .Where(row => row.ReferralId == send.ReferralId
                && row.State == SendState.Waiting
                && (row.LeaseUntil == null || row.LeaseUntil <= leaseNow))
            .ExecuteUpdateAsync(
                set => set
                    .SetProperty(row => row.LeaseToken, token)
                    .SetProperty(row => row.LeaseUntil, leaseNow + lease)
                    .SetProperty(row => row.Claims, row => row.Claims + 1),
                cancellationToken);
        if (claimed == 0)
        {
            return null;
        }

        var referral = await store.Referrals.AsNoTracking().SingleAsync(row => row.ReferralId == send.ReferralId, cancellationToken);
        var attempts = await store.Attempts.CountAsync(row => row.ReferralId == send.ReferralId, cancellationToken);
        return new ClaimedSend(
            referral.ReferralId,
            destination,
            referral.ClinicId,
            referral.Tier,
            referral.Lane,
            referral.Due,
            referral.Request,
            referral.RequestSha256,
            referral.IdempotencyKey,
            referral.CorrelationId,
            send.QueuedAt,
            referral.EvaluatedAt,
            attempts,
            isProbe,
            token,
            leaseNow + lease)
        {
            Correction = referral.Correction,
        };
    }

    private static async Task<bool> RenewAsync(
        StoreContext store, ClaimedSend claim, DateTimeOffset now, TimeSpan lease, TimeSpan settling, CancellationToken cancellationToken)
    {
        var leaseNow = await store.LeaseClockAsync(now, cancellationToken);
        DateTimeOffset? until = leaseNow + lease;
        DateTimeOffset? settled = leaseNow + settling;
        return await store.Outbox
            .Where(row => row.ReferralId == claim.ReferralId && row.LeaseToken == claim.LeaseToken)
            .ExecuteUpdateAsync(set => set.SetProperty(row => row.LeaseUntil, until).SetProperty(row => row.SettledAt, settled), cancellationToken) == 1;
    }

    private static async Task<bool> RecordAsync(
        StoreContext store,
        ClaimedSend claim,
        AttemptRecord attempt,
        SendDecision decision,
        DateTimeOffset now,
        CancellationToken cancellationToken)
    {
        await ReferralWriter.LockAsync(store, claim.ReferralId, cancellationToken);
        // A correction came while this attempt was under way: whatever became of it, what is to be sent now is something else.
        var isOvertaken = await store.Referrals.AnyAsync(row => row.ReferralId == claim.ReferralId && row.Correction != null && row.Correction != claim.Correction, cancellationToken);
        var (state, nextAttempt, reason) = decision switch
        {
            _ when isOvertaken => (SendState.Waiting, now, (string?)null),
            SendDecision.Delivered => (SendState.Delivered, now, null),
            SendDecision.RetryAt retry => (SendState.Waiting, retry.Time, null),
            SendDecision.NeedsHuman human => (SendState.NeedsHuman, now, human.Reason),
            _ => throw new System.Diagnostics.UnreachableException("SendDecision is a closed union."),
        };
        var settled = decision is SendDecision.RetryAt { Settling: { } settling } ? await store.LeaseClockAsync(now, cancellationToken) + settling : (DateTimeOffset?)null;
        var ours = store.Outbox.Where(row => row.ReferralId == claim.ReferralId && row.LeaseToken == claim.LeaseToken);
        var taken = await ours
            .Where(row => row.State != SendState.Stopped)
            .ExecuteUpdateAsync(
                set => set
                    .SetProperty(row => row.State, state)
                    .SetProperty(row => row.NextAttemptAt, nextAttempt)
                    .SetProperty(row => row.Reason, reason)
                    .SetProperty(row => row.SettledAt, settled)
                    .SetProperty(row => row.LeaseToken, (Guid?)null)
                    .SetProperty(row => row.LeaseUntil, (DateTimeOffset?)null),
                cancellationToken) == 1;
        var end = decision is SendDecision.Delivered ? SendState.Delivered : SendState.Stopped;
        var stopped = !taken && await ours.ExecuteUpdateAsync(
            set => set
                .SetProperty(row => row.State, end)
                .SetProperty(row => row.SettledAt, settled)
                .SetProperty(row => row.LeaseToken, (Guid?)null)
                .SetProperty(row => row.LeaseUntil, (DateTimeOffset?)null),
            cancellationToken) == 1;
        var held = taken || stopped;
        store.Add(new AttemptRow
        {
            ReferralId = claim.ReferralId,
            LeaseToken = claim.LeaseToken,
            At = attempt.At,
            // Only who holds the send may say how it ended.
            StatusCode = held ? attempt.StatusCode : null,
            Outcome = held ? attempt.Outcome : AttemptWords.Unknown,
            Issues = held ? attempt.Issues : null,
            DurationMilliseconds = attempt.DurationMilliseconds,
            LeaseLost = !held,
        });
        if (held)
        {
            if (decision is SendDecision.Delivered)
            {
                await FirstContacts.KeepAsync(store, claim, cancellationToken);
            }

            var referral = await store.Referrals.SingleAsync(row => row.ReferralId == claim.ReferralId, cancellationToken);
            Follow(store, referral, attempt, decision, keepsState: stopped || isOvertaken, isCorrection: claim.Correction is not null, now);
        }

        return held;
    }

    private static void Follow(
        StoreContext store, ReferralRow referral, AttemptRecord attempt, SendDecision decision, bool keepsState, bool isCorrection, DateTimeOffset now)
    {
        var (state, kind, detail) = decision switch
        {
            SendDecision.Delivered => (ReferralState.Delivered, isCorrection ? "correction-delivered" : "delivered", (string?)null),
            SendDecision.RetryAt => (ReferralState.Queued, keepsState ? "not-delivered" : "retry-planned", attempt.Outcome),
            SendDecision.NeedsHuman human => (ReferralState.NeedsHuman, isCorrection ? "correction-needs-human" : "needs-human", human.Reason),
            _ => throw new System.Diagnostics.UnreachableException("SendDecision is a closed union."),
        };

        // After a correction stopped the send or took the referral back, the state already says that a person must speak with the receiver.
        referral.State = keepsState || referral.State is ReferralState.WithdrawnAfterSending ? referral.State : state;
        referral.ChangedAt = now;
        referral.Locations = decision is SendDecision.Delivered delivered ? delivered.Locations : referral.Locations;
        store.Add(ReferralWriter.Event(referral.ReferralId, new ReferralEvent(now, kind, "delivery", Detail: detail)));
        store.Add(AuditStore.Row(new AuditEntry(
            attempt.At,
            AuditAction.Send,
            decision is SendDecision.Delivered ? AuditResult.Success : AuditResult.SeriousFailure,
            "delivery",
            referral.ClinicId,
            referral.PracticeOds,
            referral.PatientKey,
            "ServiceRequest",
            referral.ReferralId,
            referral.CorrelationId)));
    }
}
