using EarReferral.Storage.Schema.Rows;
using EarReferral.Storage.Sending;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Schema;

/// <summary>The tables in one SQLite file.</summary>
internal sealed class SqliteStoreContext(DbContextOptions<SqliteStoreContext> options) : StoreContext(options)
{
    public override Task LockAsync(string name, CancellationToken cancellationToken) => Task.CompletedTask;

    public override Task<DateTimeOffset> LeaseClockAsync(DateTimeOffset now, CancellationToken cancellationToken) => Task.FromResult(now);

    public override IQueryable<OutboxRow> NextSends(string destination, DateTimeOffset now, DateTimeOffset leaseNow, int count) => Outbox
        .Where(row => row.Destination == destination
            && row.State == SendState.Waiting
            && row.NextAttemptAt <= now
            && (row.LeaseUntil == null || row.LeaseUntil <= leaseNow))
        .OrderBy(row => row.Lane).ThenBy(row => row.Due).ThenBy(row => row.ReferralId)
        .Take(count);
}
