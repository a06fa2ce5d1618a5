using EarReferral.Storage.Encounters;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using EarReferral.Storage.Sending;

namespace EarReferral.Storage.Referrals;

/// <summary>What a correction does to the referral of an earlier revision. The rule stands in decision 0002.</summary>
internal static class ReferralCorrection
{
    /// <summary>Applies the revision to a send whose row the caller holds locked.</summary>
    /// <param name="store">Context of the transaction.</param>
    /// <param name="revision">The correction.</param>
    /// <param name="send">The send of the earlier revision, with its referral.</param>
    /// <param name="attempts">Outcome words of every attempt that was recorded.</param>
    public static ReferralPlacement Apply(
        StoreContext store, EncounterRevision revision, OutboxRow send, IReadOnlyCollection<string> attempts)
    {
        var unsent = AttemptWords.IsUnsent(send.Claims, attempts);
        var stored = send.Referral!;
        stored.ChangedAt = revision.ReceivedAt;
        stored.PracticeOds = revision.PracticeOds;
        return (revision.Referral, unsent) switch
        {
            ({ } referral, true) => Replace(store, revision, referral, send),
            ({ } referral, false) => Outdate(store, revision, referral, send),
            (null, _) when !revision.HasRecord => Quarantine(store, revision, send),
            (null, true) => TakeBack(store, revision, send),
            (null, false) => TakeBackAfterSending(store, revision, send),
        };
    }

    private static ReferralPlacement Replace(StoreContext store, EncounterRevision revision, OutgoingReferral referral, OutboxRow send)
    {
        var stored = send.Referral!;
        // Nothing was waiting any more; a correction that asks for a referral again queues it anew.
        var wasOver = stored.State is ReferralState.Withdrawn or ReferralState.Closed;
        Reprioritise(revision, referral, send);
        send.Destination = referral.Destination;
        send.State = referral.Hold ? SendState.Held : SendState.Waiting;
        send.NextAttemptAt = revision.ReceivedAt;
        send.Reason = null;
        stored.Destination = referral.Destination;
        stored.Request = referral.Request.ToArray();
        stored.RequestSha256 = referral.RequestSha256;
        stored.IdempotencyKey = referral.IdempotencyKey;
        stored.State = referral.Hold ? ReferralState.Held : ReferralState.Queued;
        stored.TaskStatus = "requested";
        stored.BusinessStatus = null;
        Tell(store, revision, send, "corrected-before-sending", $"Revision {revision.Revision} replaced the request.");
        return !wasOver ? ReferralPlacement.ReplacedBeforeSending : referral.Hold ? ReferralPlacement.Held : ReferralPlacement.Queued;
    }

    private static ReferralPlacement Outdate(StoreContext store, EncounterRevision revision, OutgoingReferral referral, OutboxRow send)
    {
        Reprioritise(revision, referral, send);
        var reason = $"Revision {revision.Revision} was corrected after an attempt; tell the receiver by phone.";
        if (Stop(send, reason) || send.Referral!.State != ReferralState.Delivered)
        {
            send.Referral!.State = ReferralState.NeedsHuman;
        }

        Tell(store, revision, send, "corrected-after-sending", reason);
        return ReferralPlacement.AlreadyTried;
    }

    private static ReferralPlacement Quarantine(StoreContext store, EncounterRevision revision, OutboxRow send)
    {
        var reason = $"Revision {revision.Revision} did not pass our own profiles; refer by phone.";
        if (Stop(send, reason) || send.Referral!.State == ReferralState.Closed)
        {
            send.Referral!.State = ReferralState.NeedsHuman;
        }

        Tell(store, revision, send, "correction-quarantined", reason);
        return ReferralPlacement.StoppedByQuarantine;
    }

    private static ReferralPlacement TakeBack(StoreContext store, EncounterRevision revision, OutboxRow send)
    {
        if (send.Referral!.State == ReferralState.Withdrawn)
        {
            return ReferralPlacement.None;
        }

        var reason = $"{Cause(revision)}; nothing was sent.";
        Stop(send, reason);
        send.Referral.State = ReferralState.Withdrawn;
        Tell(store, revision, send, "withdrawn", reason);
        return ReferralPlacement.Withdrawn;
    }

    private static ReferralPlacement TakeBackAfterSending(StoreContext store, EncounterRevision revision, OutboxRow send)
    {
        var reason = $"{Cause(revision)}, but the receiver has or may have it; tell the receiver by phone.";
        Stop(send, reason);
        if (send.Referral!.State != ReferralState.WithdrawnAfterSending)
        {
            send.Referral.State = ReferralState.WithdrawnAfterSending;
            Tell(store, revision, send, "withdrawn-after-sending", reason);
        }

        return ReferralPlacement.WithdrawnAfterSending;
    }

    private static string Cause(EncounterRevision revision) => revision.Retraction is null
        ? $"Revision {revision.Revision} needs no referral"
        : "The clinic retracted the encounter";

    /// <summary>Ends the sending for good; an attempt under way keeps its lease and still reports. False when it was delivered before.</summary>
    private static bool Stop(OutboxRow send, string reason)
    {
        if (send.State == SendState.Delivered)
        {
            return false;
        }

        send.State = SendState.Stopped;
        send.Reason = reason;
        return true;
    }

    private static void Reprioritise(EncounterRevision revision, OutgoingReferral referral, OutboxRow send)
    {
        var stored = send.Referral!;
        (send.Lane, send.Due) = (referral.PriorityLane, ReferralWriter.DueOf(referral));
        (stored.Tier, stored.Lane, stored.Due) = (referral.Tier, referral.PriorityLane, referral.Due);
        stored.EvaluatedAt = revision.EvaluatedAt;
    }

    private static void Tell(StoreContext store, EncounterRevision revision, OutboxRow send, string kind, string detail) =>
        store.Add(ReferralWriter.Event(send.ReferralId, new ReferralEvent(revision.ReceivedAt, kind, "gateway", Detail: detail)));
}
