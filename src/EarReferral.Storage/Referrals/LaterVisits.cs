using EarReferral.Storage.Encounters;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Referrals;

/// <summary>Keeps which visit is tied to the referral of an earlier one, within the caller's transaction (decision 0029).</summary>
internal static class LaterVisits
{
    private static readonly ReferralState[] WorkedOn = [ReferralState.Held, ReferralState.Queued, ReferralState.Delivered];

    // The receiver ended it or sent it back, so nobody there works on it and nothing may rest on it.
    private static readonly string[] Ended = ["rejected", "failed", "cancelled", "entered-in-error", "completed"];

    public static async Task<IReadOnlyList<OpenReferral>> OpenAsync(
        StoreContext store, string clinicId, Guid patientKey, Guid encounterKey, CancellationToken cancellationToken)
    {
        var tied = await store.LaterVisits.Where(row => row.EncounterKey == encounterKey).Select(row => row.ReferralId).SingleOrDefaultAsync(cancellationToken);
        var rows = await store.Referrals.AsNoTracking()
            .Where(row => row.ClinicId == clinicId && row.PatientKey == patientKey && row.EncounterKey != encounterKey)
            .Where(row => row.ReferralId == tied || (WorkedOn.Contains(row.State) && row.Objection != ReferralObjection.Stands && !Ended.Contains(row.TaskStatus) && row.BusinessStatus != "cancelled-by-referrer" && row.ReplacedBy == null))
            .OrderBy(row => row.ReferralId)
            .Select(row => new { row.ReferralId, row.TaskId, row.Destination, row.Tier, row.Concerns, row.EvaluatedAt })
            .ToListAsync(cancellationToken);
        return [.. rows.Select(row => new OpenReferral(
            row.ReferralId, row.TaskId, row.Destination!, row.Tier, row.Concerns.Split(' ', StringSplitOptions.RemoveEmptyEntries), row.EvaluatedAt, row.ReferralId == tied))];
    }

    /// <summary>Ties the visit or unties it. False when the referral that it was judged with is not worked on any more; then nothing was changed.</summary>
    public static async Task<bool> TieAsync(StoreContext store, EncounterRevision revision, CancellationToken cancellationToken)
    {
        var before = await store.LaterVisits.SingleOrDefaultAsync(row => row.EncounterKey == revision.EncounterKey, cancellationToken);
        if (before is not null && before.ReferralId != revision.LaterVisit?.ReferralId)
        {
            await UntieAsync(store, revision, before, cancellationToken);
            before = null;
        }

        if (revision.LaterVisit is not { } tie)
        {
            return true;
        }

        await ReferralWriter.LockAsync(store, tie.ReferralId, cancellationToken);
        var row = await store.Referrals.SingleOrDefaultAsync(each => each.ReferralId == tie.ReferralId, cancellationToken);
        if (row is null || (!tie.IsKept && (!WorkedOn.Contains(row.State) || row.Objection == ReferralObjection.Stands || Ended.Contains(row.TaskStatus))))
        {
            return false;
        }

        if (before is null)
        {
            store.Add(new LaterVisitRow { EncounterKey = revision.EncounterKey, ReferralId = tie.ReferralId });
        }

        if (tie.Note is { } note)
        {
            var stored = await ResourceWriter.LoadAsync(store, [note], cancellationToken);
            await ResourceWriter.PutAsync(store, stored, note, new ResourceOwner(row.ClinicId, row.PracticeOds, row.PatientKey, row.EncounterKey), row.Destination, revision.ReceivedAt, cancellationToken);
        }

        row.ReplacedBy = tie.ReplacedBy;
        Tell(store, row, tie.Entry);
        return true;
    }

    private static async Task UntieAsync(StoreContext store, EncounterRevision revision, LaterVisitRow before, CancellationToken cancellationToken)
    {
        store.Remove(before);
        await ReferralWriter.LockAsync(store, before.ReferralId, cancellationToken);
        if (await store.Referrals.SingleOrDefaultAsync(each => each.ReferralId == before.ReferralId, cancellationToken) is { } row)
        {
            var wasReplaced = row.ReplacedBy is not null;
            row.ReplacedBy = null;
            Tell(store, row, new ReferralEvent(revision.ReceivedAt, "later-visit-taken-back", "gateway", Detail: wasReplaced
                ? "The later visit was corrected or taken back and replaces this referral no more. The receiver may have stopped work on it: phone."
                : "The later visit was corrected or taken back and is no more about this referral."));
        }
    }

    private static void Tell(StoreContext store, ReferralRow row, ReferralEvent entry)
    {
        row.ChangedAt = entry.At > row.ChangedAt ? entry.At : row.ChangedAt.AddMilliseconds(1);
        store.Add(ReferralWriter.Event(row.ReferralId, entry));
    }
}
