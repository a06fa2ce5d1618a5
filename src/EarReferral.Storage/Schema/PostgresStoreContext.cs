using EarReferral.Storage.Schema.Rows;
using EarReferral.Storage.Search;
using Microsoft.EntityFrameworkCore;
using Npgsql;

namespace EarReferral.Storage.Schema;

/// <summary>The tables on a PostgreSQL server.</summary>
internal sealed class PostgresStoreContext(DbContextOptions<PostgresStoreContext> options) : StoreContext(options)
{
    public override Task LockAsync(string name, CancellationToken cancellationToken) =>
        Database.ExecuteSqlAsync($"SELECT pg_advisory_xact_lock(hashtextextended({name}, 0))", cancellationToken);

    public override async Task<DateTimeOffset> LeaseClockAsync(DateTimeOffset now, CancellationToken cancellationToken) =>
        DateTimeOffset.FromUnixTimeMilliseconds(await Database
            .SqlQuery<long>($"SELECT (extract(epoch FROM clock_timestamp()) * 1000)::bigint AS \"Value\"")
            .SingleAsync(cancellationToken));

    public override IQueryable<OutboxRow> NextSends(string destination, DateTimeOffset now, DateTimeOffset leaseNow, int count) => Outbox.FromSql(
        $"""
        SELECT * FROM outbox
        WHERE destination = {destination} AND state = 'Waiting' AND next_attempt_at <= {now.ToUnixTimeMilliseconds()}
            AND (lease_until IS NULL OR lease_until <= {leaseNow.ToUnixTimeMilliseconds()})
        ORDER BY lane, due, referral_id
        LIMIT {count}
        FOR UPDATE SKIP LOCKED
        """);

    protected override async Task InsertAsync(SearchTable table, IReadOnlyList<SearchRow> rows, CancellationToken cancellationToken)
    {
        var connection = (NpgsqlConnection)Database.GetDbConnection();
        await using var import = await connection.BeginBinaryImportAsync($"COPY {table.Name} ({table.Columns}) FROM STDIN (FORMAT BINARY)", cancellationToken);
        foreach (var row in rows)
        {
            await import.StartRowAsync(cancellationToken);
            foreach (var value in table.Values(row))
            {
                await (value is null ? import.WriteNullAsync(cancellationToken) : import.WriteAsync(value, cancellationToken));
            }
        }

        await import.CompleteAsync(cancellationToken);
    }
}
