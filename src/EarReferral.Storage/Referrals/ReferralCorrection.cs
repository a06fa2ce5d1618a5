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
    /// <param name="way">What the receiver can take after the referral.</param>
    public static PlacedReferral Apply(
        StoreContext store, EncounterRevision revision, OutboxRow send, IReadOnlyCollection<string> attempts, CorrectionWay way)
    {
        var unsent = AttemptWords.IsUnsent(send.Claims, attempts);
        var stored = send.Referral!;
        stored.ChangedAt = revision.ReceivedAt;
        stored.PracticeOds = revision.PracticeOds;
        stored.Objection = (revision.IsKeptFromReceiver, stored.Objection) switch
        {
            (false, _) => ReferralObjection.None,
            (true, ReferralObjection.Overridden) => ReferralObjection.Overridden,
            (true, _) => ReferralObjection.Stands,
        };
        return (revision.Referral, unsent) switch
        {
            ({ } referral, true) => new(Replace(store, revision, referral, send)),
            ({ } referral, false) when stored.Objection == ReferralObjection.Stands => new(KeepBack(store, revision, referral, send)),
            ({ } referral, false) when CanFollow(revision, send, referral.Destination, way) => Follow(store, revision, referral, send, way),
            ({ } referral, false) => new(Outdate(store, revision, referral, send)),
            (null, _) when !revision.HasRecord => new(Quarantine(store, revision, send)),
            (null, true) => new(TakeBack(store, revision, send)),
            (null, false) => new(TakeBackAfterSending(store, revision, send, way)),
        };
    }

    /// <summary>Another receiver, or one that a clinician closed the matter with, is spoken with.</summary>
    private static bool CanFollow(EncounterRevision revision, OutboxRow send, string destination, CorrectionWay way) =>
        way != CorrectionWay.Phone && revision.CorrectionOf is not null && destination == send.Destination && send.Referral!.State is not (ReferralState.Closed or ReferralState.WithdrawnAfterSending);

    private static PlacedReferral Follow(StoreContext store, EncounterRevision revision, OutgoingReferral referral, OutboxRow send, CorrectionWay way)
    {
        Reprioritise(revision, referral, send);
        var correction = Queue(revision, send, way);
        send.Referral!.State = ReferralState.Queued;
        if (correction.TaskIdentifier is not null)
        {
            // The receiver starts again with a Task of its own.
            (send.Referral.TaskStatus, send.Referral.BusinessStatus) = ("requested", null);
        }

        Tell(store, revision, send, "correction-queued", correction.TaskIdentifier is null
            ? $"Revision {revision.Revision} waits to be sent as an update of what the receiver has or may have."
            : $"Revision {revision.Revision} waits to be sent as a request that replaces what the receiver has or may have.");
        return new(correction.TaskIdentifier is null ? ReferralPlacement.UpdateQueued : ReferralPlacement.ReplacementQueued, correction.TaskIdentifier);
    }

    private static Correction Queue(EncounterRevision revision, OutboxRow send, CorrectionWay way)
    {
        var stored = send.Referral!;
        var correction = revision.CorrectionOf!(stored.Request, way);
        (stored.Request, stored.RequestSha256, stored.IdempotencyKey) = (correction.Request.ToArray(), correction.RequestSha256, correction.IdempotencyKey);
        stored.Correction = revision.Revision;
        // An attempt under way keeps its lease; nobody claims the send before it has ended.
        (send.State, send.NextAttemptAt, send.Reason) = (SendState.Waiting, revision.ReceivedAt, null);
        return correction;
    }

    private static ReferralPlacement Replace(StoreContext store, EncounterRevision revision, OutgoingReferral referral, OutboxRow send)
    {
        var stored = send.Referral!;
        var isHeld = referral.Hold || stored.Objection == ReferralObjection.Stands;
        // Nothing was waiting any more; a correction that asks for a referral again queues it anew.
        var wasOver = stored.State is ReferralState.Withdrawn or ReferralState.Closed;
        Reprioritise(revision, referral, send);
        send.Destination = referral.Destination;
        send.State = isHeld ? SendState.Held : SendState.Waiting;
        send.NextAttemptAt = revision.ReceivedAt;
        send.Reason = null;
        stored.Destination = referral.Destination;
        stored.Request = referral.Request.ToArray();
        stored.RequestSha256 = referral.RequestSha256;
        stored.IdempotencyKey = referral.IdempotencyKey;
        stored.Correction = null;
        stored.State = isHeld ? ReferralState.Held : ReferralState.Queued;
        stored.TaskStatus = "requested";
        stored.BusinessStatus = null;
        Tell(store, revision, send, "corrected-before-sending", $"Revision {revision.Revision} replaced the request.");
        if (stored.Objection == ReferralObjection.Stands)
        {
            Tell(store, revision, send, "held", ReferralWriter.PatientObjects);
        }

        return !wasOver ? ReferralPlacement.ReplacedBeforeSending : isHeld ? ReferralPlacement.Held : ReferralPlacement.Queued;
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

    /// <summary>The receiver has or may have what came before; no correction follows it, and a person must settle the rest.</summary>
    private static ReferralPlacement KeepBack(StoreContext store, EncounterRevision revision, OutgoingReferral referral, OutboxRow send)
    {
        Reprioritise(revision, referral, send);
        var reason = $"Revision {revision.Revision} records that the patient objects to sharing with the receiver, which has or may have an earlier one; nothing more is sent. A named clinician settles it.";
        Stop(send, reason);
        send.Referral!.State = ReferralState.NeedsHuman;
        Tell(store, revision, send, "objected-after-sending", reason);
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

    private static ReferralPlacement TakeBackAfterSending(StoreContext store, EncounterRevision revision, OutboxRow send, CorrectionWay way)
    {
        var isFirst = send.Referral!.State != ReferralState.WithdrawnAfterSending;
        var follows = isFirst && way != CorrectionWay.Phone && revision.CorrectionOf is not null;
        var reason = $"{Cause(revision)}, but the receiver has or may have it; tell the receiver by phone{(follows ? ", which a message that waits to be sent does not replace" : "")}.";
        if (follows)
        {
            Queue(revision, send, way);
        }
        else
        {
            Stop(send, reason);
        }

        if (isFirst)
        {
            send.Referral.State = ReferralState.WithdrawnAfterSending;
            Tell(store, revision, send, "withdrawn-after-sending", reason);
        }

        if (follows)
        {
            Tell(store, revision, send, "correction-queued", "That the referral is taken back waits to be sent.");
        }

        return follows ? ReferralPlacement.WithdrawalQueued : ReferralPlacement.WithdrawnAfterSending;
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
        stored.Concerns = ReferralWriter.ConcernsOf(referral);
    }

    private static void Tell(StoreContext store, EncounterRevision revision, OutboxRow send, string kind, string detail) =>
        store.Add(ReferralWriter.Event(send.ReferralId, new ReferralEvent(revision.ReceivedAt, kind, "gateway", Detail: detail)));
}
