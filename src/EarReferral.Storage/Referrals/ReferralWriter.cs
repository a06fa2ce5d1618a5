using EarReferral.Storage.Encounters;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using EarReferral.Storage.Sending;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Referrals;

/// <summary>Puts a referral and its send into the tables within the caller's transaction.</summary>
internal static class ReferralWriter
{
    public static async Task<ReferralPlacement> PlaceAsync(
        StoreContext store, EncounterRevision revision, CancellationToken cancellationToken)
    {
        if (revision.Referral is not { } referral)
        {
            return ReferralPlacement.None;
        }

        var now = revision.ReceivedAt;
        var send = await store.Outbox
            .Include(row => row.Referral)
            .SingleOrDefaultAsync(row => row.ReferralId == referral.ReferralId, cancellationToken);
        if (send is null)
        {
            Add(store, revision, referral);
            return referral.Hold ? ReferralPlacement.Held : ReferralPlacement.Queued;
        }

        // The update itself asks whether the send was ever claimed, and locks the row, so no worker claims it before the commit.
        var untouched = await store.Outbox
            .Where(row => row.ReferralId == referral.ReferralId && row.Claims == 0 && row.Destination == referral.Destination)
            .ExecuteUpdateAsync(
                set => set
                    .SetProperty(row => row.Lane, referral.PriorityLane)
                    .SetProperty(row => row.Due, DueOf(referral))
                    .SetProperty(row => row.State, row => referral.Hold ? SendState.Held : row.State),
                cancellationToken) == 1;
        var stored = send.Referral!;
        stored.ChangedAt = now;
        stored.PracticeOds = referral.PracticeOds;
        if (!untouched)
        {
            store.Add(Event(referral.ReferralId, now, "corrected-after-sending", $"Revision {revision.Revision} arrived after the first attempt."));
            return ReferralPlacement.AlreadyTried;
        }

        stored.Tier = referral.Tier;
        stored.Lane = referral.PriorityLane;
        stored.Due = referral.Due;
        stored.Request = referral.Request.ToArray();
        stored.RequestSha256 = referral.RequestSha256;
        stored.IdempotencyKey = referral.IdempotencyKey;
        stored.State = referral.Hold ? ReferralState.Held : stored.State;
        store.Add(Event(referral.ReferralId, now, "corrected-before-sending", $"Revision {revision.Revision} replaced the request."));
        return ReferralPlacement.ReplacedBeforeSending;
    }

    public static ReferralEventRow Event(string referralId, DateTimeOffset at, string kind, string? detail) =>
        Event(referralId, new ReferralEvent(at, kind, "gateway", Detail: detail));

    public static ReferralEventRow Event(string referralId, ReferralEvent entry) => new()
    {
        ReferralId = referralId,
        At = entry.At,
        Kind = entry.Kind,
        Actor = entry.Actor,
        TaskStatus = entry.TaskStatus,
        BusinessStatus = entry.BusinessStatus,
        Detail = entry.Detail,
    };

    private static long DueOf(OutgoingReferral referral) => referral.Due?.ToUnixTimeMilliseconds() ?? long.MaxValue;

    private static void Add(StoreContext store, EncounterRevision revision, OutgoingReferral referral)
    {
        var now = revision.ReceivedAt;
        var row = new ReferralRow
        {
            ReferralId = referral.ReferralId,
            TaskId = referral.TaskId,
            EncounterKey = revision.EncounterKey,
            PatientKey = referral.PatientKey,
            ClinicId = referral.ClinicId,
            PracticeOds = referral.PracticeOds,
            Destination = referral.Destination,
            Tier = referral.Tier,
            Lane = referral.PriorityLane,
            Due = referral.Due,
            State = referral.Hold ? ReferralState.Held : ReferralState.Queued,
            TaskStatus = "requested",
            BusinessStatus = null,
            Request = referral.Request.ToArray(),
            RequestSha256 = referral.RequestSha256,
            IdempotencyKey = referral.IdempotencyKey,
            CorrelationId = referral.CorrelationId,
            Locations = null,
            CreatedAt = now,
            ChangedAt = now,
        };
        store.Add(row);
        store.Add(new OutboxRow
        {
            ReferralId = referral.ReferralId,
            Referral = row,
            Destination = referral.Destination,
            Lane = referral.PriorityLane,
            Due = DueOf(referral),
            State = referral.Hold ? SendState.Held : SendState.Waiting,
            NextAttemptAt = now,
            Claims = 0,
            QueuedAt = now,
        });
        store.Add(Event(referral.ReferralId, now, referral.Hold ? "held" : "queued", null));
    }
}
