using EarReferral.Storage.Encounters;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Audit;

/// <summary>Who did what to which record. Writes of other stores add their entries in their own transaction.</summary>
public sealed class AuditStore
{
    private const string Summary = "Composition";

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
    /// Stores what is about to be disclosed, one entry per patient of the resources, or per summary where summaries are among them: clinic,
    /// practice and patient are taken from the rows, the rest from the template. Where no patient is concerned, the template alone.
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
                var summaries = new HashSet<(Guid Patient, string Clinic, string Id)>();
                foreach (var some in resources.Select(each => each.Id).Distinct().Chunk(500))
                {
                    var rows = await store.Resources
                        .Where(row => some.Contains(row.Id) && row.PatientKey != null)
                        .Select(row => new { row.Type, row.Id, row.PatientKey, row.ClinicId, row.PracticeOds })
                        .ToListAsync(cancellationToken);
                    rows.RemoveAll(row => !resources.Contains((row.Type, row.Id)));
                    patients.UnionWith(rows.Select(row => (row.PatientKey!.Value, row.ClinicId, row.PracticeOds)));
                    summaries.UnionWith(rows.Where(row => row.Type == Summary).Select(row => (row.PatientKey!.Value, row.ClinicId, row.Id)));
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
                // A summary that is shown leaves a row that names it, so that a practice that never saw one can be told from one that did.
                var named = summaries.ToLookup(each => (each.Patient, each.Clinic), each => each.Id);
                var entries = patients.GroupBy(each => (each.Patient, each.Clinic))
                    .Select(each => template with { PatientKey = each.Key.Patient, ClinicId = each.Key.Clinic, PracticeOds = each.Select(one => one.Practice).Max() })
                    .SelectMany(each => named[(each.PatientKey!.Value, each.ClinicId)].Order(StringComparer.Ordinal).Select(id => each with { ResourceType = Summary, ResourceId = id }).DefaultIfEmpty(each))
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

    /// <summary>Stores that a summary was handed over, unless the same act is written already.</summary>
    /// <param name="entry">The act, with its words as purpose.</param>
    /// <param name="since">When the revision that was handed over came; an act on an earlier one is another.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public async Task HandedOverAsync(AuditEntry entry, DateTimeOffset since, CancellationToken cancellationToken) =>
        await database.WriteAsync(
            async store =>
            {
                var written = await store.Audit.AnyAsync(row => row.PatientKey == entry.PatientKey && row.Action == AuditAction.HandOver && row.ResourceId == entry.ResourceId && row.Purpose == entry.Purpose && row.At >= since, cancellationToken);
                if (!written)
                {
                    store.Add(Row(entry));
                }

                return written ? 0 : 1;
            },
            cancellationToken);

    /// <summary>Every time that summaries of these patients were shown to one of these actors, or handed over by somebody who wrote it down.</summary>
    /// <param name="patients">Patients; any number.</param>
    /// <param name="actors">Client ids of whoever is asked about.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public Task<IReadOnlyList<SummaryShown>> SummariesShownAsync(IReadOnlyCollection<Guid> patients, IReadOnlyCollection<string> actors, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(patients);
        return database.ReadAsync<IReadOnlyList<SummaryShown>>(async store =>
        {
            var shown = new List<SummaryShown>();
            foreach (var some in patients.Distinct().Chunk(500))
            {
                shown.AddRange(await store.Audit
                    .Where(row => row.PatientKey != null && some.Contains(row.PatientKey.Value) && row.ResourceType == Summary && row.ResourceId != null && row.Result == AuditResult.Success
                        && (row.Action == AuditAction.HandOver || (actors.Contains(row.Actor) && row.Purpose == null)))
                    .Select(row => new SummaryShown(row.ResourceId!, row.At, row.Action == AuditAction.HandOver, row.Actor))
                    .ToListAsync(cancellationToken));
            }

            return shown;
        });
    }

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
