using EarReferral.Storage.Audit;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Sending;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Encounters;

/// <summary>Finds out who has content of an encounter, within the transaction that replaces it.</summary>
internal static class EarlierContentReader
{
    private static readonly AuditAction[] Disclosures =
        [AuditAction.Read, AuditAction.VersionRead, AuditAction.History, AuditAction.Search, AuditAction.Export];

    public static async Task<EarlierContent> ReadAsync(
        StoreContext store, EncounterRevision revision, ReferralPlacement placement, CancellationToken cancellationToken)
    {
        // What was quarantined was never served; nobody can have read it.
        var practices = await store.Encounters
            .Where(row => row.EncounterKey == revision.EncounterKey && row.Revision < revision.Revision
                && row.State != StoredEncounter.Quarantined && row.PracticeOds != null)
            .Select(row => row.PracticeOds!)
            .Distinct()
            .OrderBy(practice => practice)
            .ToListAsync(cancellationToken);
        var reads = await store.Audit
            .Where(row => row.PatientKey == revision.PatientKey && row.Result == AuditResult.Success && Disclosures.Contains(row.Action) && row.Purpose != AuditEntry.OwnRecord)
            .Select(row => new { row.Actor, row.At })
            .ToListAsync(cancellationToken);
        return new EarlierContent(
            placement,
            await ReceiverAsync(store, revision, cancellationToken),
            practices,
            [.. reads.GroupBy(read => read.Actor, StringComparer.Ordinal).Select(group => new RecordedRead(group.Key, group.Max(read => read.At)))]);
    }

    private static async Task<EarlierReceiver?> ReceiverAsync(StoreContext store, EncounterRevision revision, CancellationToken cancellationToken)
    {
        var send = await store.Outbox.AsNoTracking().Include(row => row.Referral)
            .SingleOrDefaultAsync(row => row.Referral!.EncounterKey == revision.EncounterKey, cancellationToken);
        if (send is null)
        {
            return null;
        }

        var attempts = await store.Attempts
            .Where(row => row.ReferralId == send.ReferralId)
            .Select(row => new { row.At, row.Outcome })
            .ToListAsync(cancellationToken);
        if (AttemptWords.IsUnsent(send.Claims, [.. attempts.Select(attempt => attempt.Outcome)]))
        {
            return null;
        }

        var delivered = await store.ReferralEvents
            .Where(row => row.ReferralId == send.ReferralId && row.Kind == "delivered")
            .Select(row => row.At)
            .ToListAsync(cancellationToken);
        return new EarlierReceiver(
            send.ReferralId,
            send.Destination,
            delivered.Count == 0 ? null : delivered.Max(),
            attempts.Count == 0 ? null : attempts.Max(attempt => attempt.At));
    }
}
