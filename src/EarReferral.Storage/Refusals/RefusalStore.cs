using EarReferral.Storage.Audit;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Refusals;

/// <summary>Refused posts, newest first, so that a referral which never came about is seen by someone.</summary>
public sealed class RefusalStore
{
    private readonly StoreDatabase database;

    internal RefusalStore(StoreDatabase database) => this.database = database;

    /// <summary>Stores the refusal with its audit row.</summary>
    public async Task AppendAsync(Refusal refusal, CancellationToken cancellationToken) =>
        await database.WriteAsync(
            store =>
            {
                store.Add(new RefusalRow
                {
                    ClinicId = refusal.ClinicId,
                    ClientId = refusal.ClientId,
                    ClinicEncounterId = refusal.ClinicEncounterId,
                    At = refusal.At,
                    ProblemIds = string.Join(' ', refusal.ProblemIds),
                    ProvisionalTier = refusal.ProvisionalTier,
                });
                store.Add(AuditStore.Row(new AuditEntry(
                    refusal.At, AuditAction.Refuse, AuditResult.MinorFailure, refusal.ClientId, refusal.ClinicId)));
                return Task.FromResult(true);
            },
            cancellationToken);

    /// <summary>Refusals, newest first.</summary>
    public Task<Page<Refusal>> ListAsync(Reach reach, string? cursor, int count, CancellationToken cancellationToken) =>
        database.ReadAsync(async store =>
        {
            var before = Cursor.Read(cursor)?.Position ?? long.MaxValue;
            var rows = await store.Refusals.Within(reach)
                .Where(row => row.Id < before)
                .OrderByDescending(row => row.Id)
                .Take(count + 1)
                .ToListAsync(cancellationToken);
            return Cursor.Page(rows, count, Read, row => new Cursor(row.Id, string.Empty));
        });

    /// <summary>Refusals of a span, oldest first.</summary>
    /// <param name="reach">Whose.</param>
    /// <param name="from">First instant.</param>
    /// <param name="until">First instant after the span.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public Task<IReadOnlyList<Refusal>> RefusedAsync(Reach reach, DateTimeOffset from, DateTimeOffset until, CancellationToken cancellationToken) =>
        database.ReadAsync<IReadOnlyList<Refusal>>(async store =>
        {
            var rows = await store.Refusals.Within(reach).Where(row => row.At >= from && row.At < until).OrderBy(row => row.Id).ToListAsync(cancellationToken);
            return [.. rows.Select(Read)];
        });

    private static Refusal Read(RefusalRow row) => new(
        row.ClinicId,
        row.ClientId,
        row.ClinicEncounterId,
        row.At,
        row.ProblemIds.Split(' ', StringSplitOptions.RemoveEmptyEntries),
        row.ProvisionalTier);
}
