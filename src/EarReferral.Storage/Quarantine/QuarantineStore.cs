using EarReferral.Storage.Audit;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Quarantine;

/// <summary>Encounters whose record failed our own profiles, until they are released or corrected.</summary>
public sealed class QuarantineStore
{
    private readonly StoreDatabase database;

    internal QuarantineStore(StoreDatabase database) => this.database = database;

    /// <summary>What is in quarantine now, in the order it came in.</summary>
    public Task<Page<QuarantinedRecord>> ListAsync(Reach reach, string? cursor, int count, CancellationToken cancellationToken) =>
        database.ReadAsync(async store =>
        {
            var after = Cursor.Read(cursor)?.Position ?? 0;
            var rows = await EncounterStore.Newest(store, reach)
                .Where(row => row.State == StoredEncounter.Quarantined && row.Id > after)
                .OrderBy(row => row.Id)
                .Take(count + 1)
                .ToListAsync(cancellationToken);
            var keys = rows.Select(row => row.EncounterKey).ToList();
            var checks = (await store.RecordChecks.Within(reach).Where(row => keys.Contains(row.EncounterKey)).ToListAsync(cancellationToken))
                .ToLookup(row => row.EncounterKey);
            return Cursor.Page(rows, count, row => Record(row, checks[row.EncounterKey]), row => new Cursor(row.Id, string.Empty));
        });

    /// <summary>An encounter that is or was in quarantine.</summary>
    public Task<QuarantinedRecord?> FindAsync(Reach reach, Guid encounterKey, CancellationToken cancellationToken) =>
        database.ReadAsync(async store =>
        {
            var row = await EncounterStore.Newest(store, reach).SingleOrDefaultAsync(each => each.EncounterKey == encounterKey, cancellationToken);
            var checks = await store.RecordChecks.Within(reach).Where(each => each.EncounterKey == encounterKey).ToListAsync(cancellationToken);
            return row is null || checks.Count == 0 ? null : Record(row, checks);
        });

    /// <summary>Keeps a look that did not release anything. False when the revision has left the quarantine meanwhile.</summary>
    public Task<bool> KeepAsync(StoredEncounter encounter, RecordCheck check, AuditEntry audit, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(encounter);
        return database.WriteAsync(
            async store =>
            {
                await store.LockAsync($"clinic {encounter.ClinicId}", cancellationToken);
                if (await QuarantinedAsync(store, encounter.EncounterKey, encounter.Revision, cancellationToken) is null)
                {
                    return (false, false);
                }

                store.Add(Row(encounter.EncounterKey, encounter.Revision, encounter.ClinicId, encounter.PracticeOds, check, null));
                store.Add(AuditStore.Row(audit));
                return (true, true);
            },
            cancellationToken);
    }

    /// <summary>
    /// Stores the record of a revision that was kept without one, as if it had passed at the intake: resources, referral, audit,
    /// in one transaction, once.
    /// </summary>
    /// <param name="revision">The revision as it is now; its <see cref="EncounterRevision.ReceivedAt"/> is the instant of the release.</param>
    /// <param name="check">The look that nothing stood against.</param>
    /// <param name="cancellationToken">Stops it before it is committed.</param>
    public Task<ReleaseOutcome> ReleaseAsync(EncounterRevision revision, RecordCheck check, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(revision);
        return database.WriteAsync<ReleaseOutcome>(
            async store =>
            {
                await store.LockAsync($"clinic {revision.ClinicId}", cancellationToken);
                if (await QuarantinedAsync(store, revision.EncounterKey, revision.Revision, cancellationToken) is not { } kept)
                {
                    return (new ReleaseOutcome.NotQuarantined(), false);
                }

                // It moves to the end of the list, so that a clinic that reconciles by cursor sees what became of it.
                var place = await store.Encounters.MaxAsync(row => row.Id, cancellationToken) + 1;
                await MoveAsync(store, kept.Id, place, cancellationToken);
                await store.Encounters
                    .Where(row => row.EncounterKey == revision.EncounterKey && row.Revision == revision.Revision)
                    .ExecuteUpdateAsync(
                        set => set
                            .SetProperty(row => row.State, revision.State)
                            .SetProperty(row => row.Tier, revision.Tier)
                            .SetProperty(row => row.Receipt, revision.Receipt.ToArray())
                            .SetProperty(row => row.Decision, revision.Decision.ToArray()),
                        cancellationToken);
                store.Add(Row(revision.EncounterKey, revision.Revision, revision.ClinicId, revision.PracticeOds, check, kept));
                return (new ReleaseOutcome.Released((await EncounterStore.PutRecordAsync(store, revision, cancellationToken)).Placement), true);
            },
            cancellationToken);
    }

    internal static RecordCheckRow Row(Guid encounterKey, int revision, string clinicId, string? practiceOds, RecordCheck check, EncounterRow? replaced) => new()
    {
        Id = Guid.CreateVersion7(),
        EncounterKey = encounterKey,
        Revision = revision,
        ClinicId = clinicId,
        PracticeOds = practiceOds,
        At = check.At,
        Person = check.Person,
        Reason = check.Reason,
        Passed = check.Passed,
        Software = check.Software,
        Issues = check.Issues.ToArray(),
        ReplacedReceipt = replaced?.Receipt,
        ReplacedDecision = replaced?.Decision,
    };

    /// <summary>The row, when this is the newest revision of its encounter and it is in quarantine.</summary>
    private static async Task<EncounterRow?> QuarantinedAsync(StoreContext store, Guid encounterKey, int revision, CancellationToken cancellationToken)
    {
        var newest = await store.Encounters.AsNoTracking()
            .Where(row => row.EncounterKey == encounterKey)
            .OrderByDescending(row => row.Revision)
            .FirstOrDefaultAsync(cancellationToken);
        return newest?.Revision == revision && newest.State == StoredEncounter.Quarantined ? newest : null;
    }

    // A key cannot be changed through EF Core. PostgreSQL counts by itself and must be told; SQLite looks at the highest key.
    private static async Task MoveAsync(StoreContext store, long from, long to, CancellationToken cancellationToken)
    {
        if (!store.Database.ProviderName!.EndsWith("Sqlite", StringComparison.Ordinal))
        {
            to = await store.Database
                .SqlQuery<long>($"SELECT nextval(pg_get_serial_sequence('encounter_revision', 'id')) AS \"Value\"")
                .SingleAsync(cancellationToken);
        }

        await store.Database.ExecuteSqlAsync($"UPDATE encounter_revision SET id = {to} WHERE id = {from}", cancellationToken);
    }

    private static QuarantinedRecord Record(EncounterRow row, IEnumerable<RecordCheckRow> checks) => new(
        EncounterStore.Read(row),
        [.. checks.OrderBy(check => check.At).ThenBy(check => check.Id)
            .Select(check => new RecordCheck(check.At, check.Person, check.Reason, check.Passed, check.Software, check.Issues) { Revision = check.Revision })]);
}
