using EarReferral.Storage.Encounters;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Audit;

/// <summary>Who did what to which record. Writes of other stores add their entries in their own transaction.</summary>
public sealed class AuditStore
{
    private readonly StoreDatabase database;

    internal AuditStore(StoreDatabase database) => this.database = database;

    /// <summary>Stores entries, such as those of a disclosure, before it is answered.</summary>
    public async Task AppendAsync(IReadOnlyList<AuditEntry> entries, CancellationToken cancellationToken) =>
        await database.WriteAsync(
            store =>
            {
                store.AddRange(entries.Select(Row));
                return Task.FromResult(entries.Count);
            },
            cancellationToken);

    /// <summary>
    /// Stores what is about to be disclosed, one entry per patient of the resources: clinic, practice and patient are taken from the rows,
    /// the rest from the template. Where no patient is concerned, the template alone.
    /// </summary>
    /// <param name="template">Who does what.</param>
    /// <param name="resources">Type and id of every resource that is disclosed.</param>
    /// <param name="visits">Keys of the visits that are disclosed otherwise than as resources.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public Task<int> DiscloseAsync(AuditEntry template, IReadOnlyCollection<(string Type, string Id)> resources, IReadOnlyCollection<Guid> visits, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(template);
        return database.WriteAsync(
            async store =>
            {
                var patients = new HashSet<(Guid Patient, string Clinic, string? Practice)>();
                foreach (var some in resources.Select(each => each.Id).Distinct().Chunk(500))
                {
                    var rows = await store.Resources
                        .Where(row => some.Contains(row.Id) && row.PatientKey != null)
                        .Select(row => new { row.Type, row.Id, row.PatientKey, row.ClinicId, row.PracticeOds })
                        .ToListAsync(cancellationToken);
                    patients.UnionWith(rows.Where(row => resources.Contains((row.Type, row.Id))).Select(row => (row.PatientKey!.Value, row.ClinicId, row.PracticeOds)));
                }

                foreach (var some in visits.Chunk(500))
                {
                    var rows = await store.Encounters
                        .Where(row => some.Contains(row.EncounterKey))
                        .Select(row => new { row.PatientKey, row.ClinicId, row.PracticeOds })
                        .Distinct()
                        .ToListAsync(cancellationToken);
                    patients.UnionWith(rows.Select(row => (row.PatientKey, row.ClinicId, row.PracticeOds)));
                }

                // A patient of several practices over time is one row per patient and clinic, with the practice of any of them.
                var entries = patients.GroupBy(each => (each.Patient, each.Clinic))
                    .Select(each => template with { PatientKey = each.Key.Patient, ClinicId = each.Key.Clinic, PracticeOds = each.Select(one => one.Practice).Max() })
                    .DefaultIfEmpty(template)
                    .ToList();
                store.AddRange(entries.Select(Row));
                return entries.Count;
            },
            cancellationToken);
    }

    /// <summary>Entries, oldest first.</summary>
    public Task<Page<AuditEntry>> ListAsync(Reach reach, string? cursor, int count, CancellationToken cancellationToken) =>
        database.ReadAsync(async store =>
        {
            var after = Cursor.Read(cursor)?.Position ?? 0;
            var rows = await store.Audit.Within(reach)
                .Where(row => row.Id > after)
                .OrderBy(row => row.Id)
                .Take(count + 1)
                .ToListAsync(cancellationToken);
            return Cursor.Page(rows, count, Entry, row => new Cursor(row.Id, string.Empty));
        });

    internal static AuditRow Row(AuditEntry entry) => new()
    {
        At = entry.At,
        Action = entry.Action,
        Result = entry.Result,
        Actor = entry.Actor,
        RequestId = entry.RequestId,
        Purpose = entry.Purpose,
        ResourceType = entry.ResourceType,
        ResourceId = entry.ResourceId,
        PatientKey = entry.PatientKey,
        ClinicId = entry.ClinicId,
        PracticeOds = entry.PracticeOds,
        Query = entry.Query?.ToArray(),
        TokenId = entry.TokenId,
    };

    private static AuditEntry Entry(AuditRow row) => new(
        row.At,
        row.Action,
        row.Result,
        row.Actor,
        row.ClinicId,
        row.PracticeOds,
        row.PatientKey,
        row.ResourceType,
        row.ResourceId,
        row.RequestId,
        row.Purpose,
        row.Query is { } query ? (ReadOnlyMemory<byte>?)query : null)
    {
        TokenId = row.TokenId,
    };
}
