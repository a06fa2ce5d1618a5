using EarReferral.Storage.Encounters;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using EarReferral.Storage.Sending;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Referrals;

/// <summary>Puts a referral and its send into the tables within the caller's transaction.</summary>
internal static class ReferralWriter
{
    public static async Task<PlacedReferral> PlaceAsync(
        StoreContext store, EncounterRevision revision, CancellationToken cancellationToken)
    {
        var send = await LockedSendAsync(store, revision.EncounterKey, cancellationToken);
        if (send is not null)
        {
            var attempts = await store.Attempts
                .Where(row => row.ReferralId == send.ReferralId).Select(row => row.Outcome).ToListAsync(cancellationToken);
            var destination = await store.Destinations.AsNoTracking().SingleOrDefaultAsync(row => row.Name == send.Destination, cancellationToken);
            return ReferralCorrection.Apply(store, revision, send, attempts, Way(destination));
        }

        if (revision.Referral is not { } referral)
        {
            return new(ReferralPlacement.None);
        }

        Add(store, revision, referral);
        return new(referral.Hold || revision.IsKeptFromReceiver ? ReferralPlacement.Held : ReferralPlacement.Queued);
    }

    /// <summary>Line of the timeline of a referral that the patient does not want shared.</summary>
    public const string PatientObjects = "The patient objects to sharing with the receiver; nothing is sent until a named clinician decides.";

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

    public static string ConcernsOf(OutgoingReferral referral) => string.Join(' ', referral.Concerns.Order(StringComparer.Ordinal));

    public static long DueOf(OutgoingReferral referral) => referral.Due?.ToUnixTimeMilliseconds() ?? long.MaxValue;

    /// <summary>Locks the send of a referral, so that no worker claims it or records an outcome before the commit, and no other change of the referral is judged meanwhile.</summary>
    public static Task LockAsync(StoreContext store, string referralId, CancellationToken cancellationToken) => store.Outbox
        .Where(row => row.ReferralId == referralId)
        // The update changes nothing but takes the lock.
        .ExecuteUpdateAsync(set => set.SetProperty(row => row.Lane, row => row.Lane), cancellationToken);

    private static CorrectionWay Way(DestinationRow? destination) => destination switch
    {
        { Mode: ExchangeMode.Message } or { Mode: ExchangeMode.Transaction, Updates: true } => CorrectionWay.Update,
        { Mode: ExchangeMode.Transaction } => CorrectionWay.Replacement,
        _ => CorrectionWay.Phone,
    };

    private static async Task<OutboxRow?> LockedSendAsync(StoreContext store, Guid encounterKey, CancellationToken cancellationToken)
    {
        var referralId = await store.Referrals
            .Where(row => row.EncounterKey == encounterKey).Select(row => row.ReferralId).SingleOrDefaultAsync(cancellationToken);
        if (referralId is null)
        {
            return null;
        }

        await LockAsync(store, referralId, cancellationToken);
        return await store.Outbox.Include(row => row.Referral).SingleAsync(row => row.ReferralId == referralId, cancellationToken);
    }

    private static void Add(StoreContext store, EncounterRevision revision, OutgoingReferral referral)
    {
        var (now, isHeld) = (revision.ReceivedAt, referral.Hold || revision.IsKeptFromReceiver);
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
            State = isHeld ? ReferralState.Held : ReferralState.Queued,
            TaskStatus = "requested",
            BusinessStatus = null,
            Request = referral.Request.ToArray(),
            RequestSha256 = referral.RequestSha256,
            IdempotencyKey = referral.IdempotencyKey,
            Concerns = ConcernsOf(referral),
            Objection = revision.IsKeptFromReceiver ? ReferralObjection.Stands : ReferralObjection.None,
            CorrelationId = referral.CorrelationId,
            Locations = null,
            CreatedAt = now,
            EvaluatedAt = revision.EvaluatedAt,
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
            State = isHeld ? SendState.Held : SendState.Waiting,
            NextAttemptAt = now,
            Claims = 0,
            QueuedAt = now,
        });
        store.Add(Event(referral.ReferralId, new ReferralEvent(now, isHeld ? "held" : "queued", "gateway", Detail: revision.IsKeptFromReceiver ? PatientObjects : null)));
    }
}
