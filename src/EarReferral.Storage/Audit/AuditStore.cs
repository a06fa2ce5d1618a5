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
        row.Query is { } query ? new ReadOnlyMemory<byte>(query) : null);
}
