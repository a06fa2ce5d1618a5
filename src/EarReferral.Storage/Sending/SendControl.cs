using EarReferral.Storage.Audit;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Hl7.Fhir.Model;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Sending;

/// <summary>What named people do to the sending: hold, release, send now, send elsewhere. Each act is one transaction with its timeline line and audit row.</summary>
public sealed class SendControl
{
    private readonly StoreDatabase database;

    internal SendControl(StoreDatabase database) => this.database = database;

    /// <summary>Keeps back what waits. Its clocks go on: holding is a decision, not an excuse.</summary>
    public Task<OperatorOutcome> HoldAsync(Reach reach, string referralId, OperatorAct act, CancellationToken cancellationToken) => ActAsync(
        reach,
        referralId,
        act,
        "held",
        AuditAction.Hold,
        (_, referral, send) =>
        {
            if (send.State != SendState.Waiting)
            {
                return OperatorOutcome.WrongState;
            }

            (send.State, referral.State) = (SendState.Held, ReferralState.Held);
            return OperatorOutcome.Done;
        },
        cancellationToken);

    /// <summary>Lets go what was held.</summary>
    public Task<OperatorOutcome> ReleaseAsync(Reach reach, string referralId, OperatorAct act, CancellationToken cancellationToken) =>
        SendAgainAsync(reach, referralId, act, "released", AuditAction.Release, state => state is SendState.Held, cancellationToken);

    /// <summary>Sends now what waits for its next attempt or stopped for a person: the same bytes under the same keys.</summary>
    public Task<OperatorOutcome> ResendAsync(Reach reach, string referralId, OperatorAct act, CancellationToken cancellationToken) =>
        SendAgainAsync(reach, referralId, act, "resend-asked", AuditAction.Override, state => state is SendState.Waiting or SendState.NeedsHuman, cancellationToken);

    /// <summary>
    /// Sends a referral elsewhere, with new bytes and new keys, because a changed body never goes out under an old key. Possible until a
    /// receiver has begun, and after it has returned it.
    /// </summary>
    /// <param name="reach">Who asks.</param>
    /// <param name="referralId">Referral.</param>
    /// <param name="act">Who, why, and whom of the first receiver they told.</param>
    /// <param name="replacement">The request for the new receiver.</param>
    /// <param name="resources">The resources that name the receiver.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public Task<OperatorOutcome> RedirectAsync(
        Reach reach, string referralId, OperatorAct act, OutgoingReferral replacement, IReadOnlyList<Resource> resources, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(act);
        return database.WriteAsync<OperatorOutcome>(
            async store =>
            {
                if (await LoadAsync(store, reach, referralId, act, cancellationToken) is not ({ } referral, { } send))
                {
                    return (OperatorOutcome.NotFound, false);
                }

                var attempts = await store.Attempts.Where(row => row.ReferralId == referralId).Select(row => row.Outcome).ToListAsync(cancellationToken);
                var obstacle = referral.State is ReferralState.Closed or ReferralState.Withdrawn or ReferralState.WithdrawnAfterSending
                        || referral.TaskStatus is not ("requested" or "rejected") || referral.Destination == replacement.Destination ? OperatorOutcome.WrongState
                    : await IsLeasedAsync(store, send, act, cancellationToken) ? OperatorOutcome.AttemptUnderWay
                    : act.Told is null && referral.TaskStatus != "rejected" && !AttemptWords.IsUnsent(send.Claims, attempts) ? OperatorOutcome.NobodyTold
                    : OperatorOutcome.Done;
                if (obstacle != OperatorOutcome.Done)
                {
                    return (obstacle, false);
                }

                var from = referral.Destination;
                (send.Destination, send.State, send.NextAttemptAt, send.Reason) = (replacement.Destination, SendState.Waiting, act.At, null);
                (referral.Destination, referral.State, referral.TaskStatus, referral.BusinessStatus) = (replacement.Destination, ReferralState.Queued, "requested", null);
                (referral.Request, referral.RequestSha256, referral.IdempotencyKey, referral.Locations) =
                    (replacement.Request.ToArray(), replacement.RequestSha256, replacement.IdempotencyKey, null);
                referral.Correction = null;
                // Whoever redirects was asked whether the patient objects to the new receiver.
                referral.Objection = referral.Objection == ReferralObjection.Overridden ? ReferralObjection.Overridden : ReferralObjection.None;
                var owner = new ResourceOwner(referral.ClinicId, referral.PracticeOds, referral.PatientKey, referral.EncounterKey);
                var stored = await ResourceWriter.LoadAsync(store, resources, cancellationToken);
                foreach (var resource in resources)
                {
                    await ResourceWriter.PutAsync(store, stored, resource, owner, resource is ServiceRequest or Hl7.Fhir.Model.Task ? replacement.Destination : null, act.At, cancellationToken);
                }

                Tell(store, referral, act, "redirected", AuditAction.Override, $"{from} to {replacement.Destination}, {act.Words}");
                return (OperatorOutcome.Done, true);
            },
            cancellationToken);
    }

    /// <summary>
    /// A named clinician decides that a referral is sent although the patient objects. What was held goes out; what stopped after an earlier
    /// revision was sent stays stopped, and only its next correction follows.
    /// </summary>
    public Task<OperatorOutcome> OverrideObjectionAsync(Reach reach, string referralId, OperatorAct act, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(act);
        return database.WriteAsync<OperatorOutcome>(
            async store =>
            {
                if (await LoadAsync(store, reach, referralId, act, cancellationToken) is not ({ } referral, { } send))
                {
                    return (OperatorOutcome.NotFound, false);
                }

                if (referral.Objection != ReferralObjection.Stands || referral.State is not (ReferralState.Held or ReferralState.NeedsHuman))
                {
                    return (OperatorOutcome.WrongState, false);
                }

                referral.Objection = ReferralObjection.Overridden;
                if (send.State == SendState.Held)
                {
                    (send.State, send.NextAttemptAt, send.Reason, referral.State) = (SendState.Waiting, act.At, null, ReferralState.Queued);
                }

                await store.Resources
                    .Where(row => row.EncounterKey == referral.EncounterKey && (row.Id == referral.ReferralId || row.Id == referral.TaskId))
                    .ExecuteUpdateAsync(set => set.SetProperty(row => row.Destination, referral.Destination), cancellationToken);
                Tell(store, referral, act, "objection-overridden", AuditAction.Override, act.Words);
                return (OperatorOutcome.Done, true);
            },
            cancellationToken);
    }

    private Task<OperatorOutcome> SendAgainAsync(
        Reach reach, string referralId, OperatorAct act, string kind, AuditAction action, Func<SendState, bool> from, CancellationToken cancellationToken) => ActAsync(
        reach,
        referralId,
        act,
        kind,
        action,
        (_, referral, send) =>
        {
            if (!from(send.State))
            {
                return OperatorOutcome.WrongState;
            }

            if (referral.Objection == ReferralObjection.Stands)
            {
                return OperatorOutcome.PatientObjects;
            }

            (send.State, send.NextAttemptAt, send.Reason) = (SendState.Waiting, act.At, null);
            referral.State = ReferralState.Queued;
            return OperatorOutcome.Done;
        },
        cancellationToken);

    private Task<OperatorOutcome> ActAsync(
        Reach reach, string referralId, OperatorAct act, string kind, AuditAction action, Func<StoreContext, ReferralRow, OutboxRow, OperatorOutcome> change, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(act);
        return database.WriteAsync<OperatorOutcome>(
            async store =>
            {
                if (await LoadAsync(store, reach, referralId, act, cancellationToken) is not ({ } referral, { } send))
                {
                    return (OperatorOutcome.NotFound, false);
                }

                if (await IsLeasedAsync(store, send, act, cancellationToken))
                {
                    return (OperatorOutcome.AttemptUnderWay, false);
                }

                var outcome = change(store, referral, send);
                if (outcome != OperatorOutcome.Done)
                {
                    return (outcome, false);
                }

                Tell(store, referral, act, kind, action, act.Words);
                return (OperatorOutcome.Done, true);
            },
            cancellationToken);
    }

    private static async Task<(ReferralRow? Referral, OutboxRow? Send)> LoadAsync(StoreContext store, Reach reach, string referralId, OperatorAct act, CancellationToken cancellationToken)
    {
        await ReferralWriter.LockAsync(store, referralId, cancellationToken);
        var referral = await store.Referrals.Within(reach).SingleOrDefaultAsync(row => row.ReferralId == referralId, cancellationToken);
        return referral is null ? (null, null) : (referral, await store.Outbox.SingleAsync(row => row.ReferralId == referralId, cancellationToken));
    }

    private static async Task<bool> IsLeasedAsync(StoreContext store, OutboxRow send, OperatorAct act, CancellationToken cancellationToken) =>
        send.LeaseToken is not null && send.LeaseUntil > await store.LeaseClockAsync(act.At, cancellationToken);

    private static void Tell(StoreContext store, ReferralRow referral, OperatorAct act, string kind, AuditAction action, string words)
    {
        // The ETag is made of this time, so it moves on even within one millisecond.
        referral.ChangedAt = act.At > referral.ChangedAt ? act.At : referral.ChangedAt.AddMilliseconds(1);
        store.Add(ReferralWriter.Event(referral.ReferralId, new ReferralEvent(act.At, kind, act.Actor, Detail: words)));
        store.Add(AuditStore.Row(new AuditEntry(
            act.At, action, AuditResult.Success, act.Actor, referral.ClinicId, referral.PracticeOds, referral.PatientKey, "ServiceRequest", referral.ReferralId, act.RequestId, $"{kind}: {words}")));
    }
}
