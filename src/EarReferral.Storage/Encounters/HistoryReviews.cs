using EarReferral.Storage.Identity;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Encounters;

/// <summary>Notes, in the transaction that changes a visit, which later visits were decided on what it said before.</summary>
/// <remarks>The caller holds the lock of the clinic, so no visit of it is decided past another.</remarks>
internal static class HistoryReviews
{
    /// <summary>Who an encounter said its patient was before this revision; null for a first one.</summary>
    public static async Task<PatientLinkRow?> BeforeAsync(StoreContext store, EncounterRevision revision, CancellationToken cancellationToken) => revision.Revision == 1
        ? null
        : await store.PatientLinks.AsNoTracking().SingleOrDefaultAsync(row => row.EncounterKey == revision.EncounterKey, cancellationToken);

    /// <summary>Notes the later visits, and this one where it was decided without what is stored now.</summary>
    public static async Task NoteAsync(StoreContext store, EncounterRevision revision, PatientLinkRow? before, CancellationToken cancellationToken)
    {
        if (revision.Revision > 1)
        {
            // It is decided anew with this revision, whatever it waited for.
            await store.HistoryReviews.Where(row => row.EncounterKey == revision.EncounterKey).ExecuteDeleteAsync(cancellationToken);
        }

        if (!revision.HasRecord)
        {
            return;
        }

        var said = revision.NhsNumber is { } link ? await OthersAsync(store, revision, link, cancellationToken) : [];
        var saidBefore = before is not null && (revision.NhsNumber is null || (before.NhsNumber, before.BirthDate) != (revision.NhsNumber.NhsNumber, revision.NhsNumber.BirthDate))
            ? await OthersAsync(store, revision, new PatientLink(before.NhsNumber, before.Verified, before.BirthDate), cancellationToken)
            : [];
        await NoteLaterAsync(store, revision, [.. said.Union(saidBefore)], cancellationToken);
        if (revision.HistoryBasis is { } basis && said.Count + basis.Count > 0)
        {
            await NoteMissedAsync(store, revision, said, basis, cancellationToken);
        }
    }

    private static async Task<IReadOnlyList<Guid>> OthersAsync(StoreContext store, EncounterRevision revision, PatientLink link, CancellationToken cancellationToken) =>
        (await VisitsOfPatient.FindAsync(store, revision.ClinicId, revision.PatientKey, revision.EncounterKey, link, cancellationToken)).Encounters;

    private static async Task NoteLaterAsync(StoreContext store, EncounterRevision revision, IReadOnlyList<Guid> others, CancellationToken cancellationToken)
    {
        if (others.Count == 0)
        {
            return;
        }

        var since = await store.Encounters.Where(row => row.EncounterKey == revision.EncounterKey).MinAsync(row => row.EvaluatedAt, cancellationToken);
        foreach (var later in await VisitsOfPatient.Standing(store, others).Where(row => row.EvaluatedAt > since).ToListAsync(cancellationToken))
        {
            await PutAsync(store, later.EncounterKey, later.Revision, later.PracticeOds, revision, revision.ClinicEncounterId, cancellationToken);
        }
    }

    /// <summary>Another visit was stored between the moment this one was decided and now.</summary>
    private static async Task NoteMissedAsync(
        StoreContext store, EncounterRevision revision, IReadOnlyList<Guid> others, IReadOnlyCollection<HistoryBasis> basis, CancellationToken cancellationToken)
    {
        var now = await VisitsOfPatient.EarlierAsync(store, others, revision.EvaluatedAt, cancellationToken);
        if (!now.Select(row => new HistoryBasis(row.EncounterKey, row.Revision)).ToHashSet().SetEquals(basis))
        {
            var cause = now.FirstOrDefault(row => !basis.Contains(new HistoryBasis(row.EncounterKey, row.Revision)))?.ClinicEncounterId ?? revision.ClinicEncounterId;
            await PutAsync(store, revision.EncounterKey, revision.Revision, revision.PracticeOds, revision, cause, cancellationToken);
        }
    }

    private static Task<int> PutAsync(
        StoreContext store, Guid encounter, int number, string? practice, EncounterRevision because, string cause, CancellationToken cancellationToken) =>
        store.Database.ExecuteSqlAsync(
            $"""
            INSERT INTO history_review (encounter_key, revision, clinic_id, practice_ods, cause, found_at, finding)
            VALUES ({encounter}, {number}, {because.ClinicId}, {practice}, {cause}, {because.ReceivedAt.ToUnixTimeMilliseconds()}, NULL)
            ON CONFLICT (encounter_key) DO UPDATE SET revision = excluded.revision, cause = excluded.cause, found_at = excluded.found_at, finding = NULL
            """,
            cancellationToken);
}
