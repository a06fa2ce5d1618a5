using EarReferral.Storage.Schema.Rows;
using EarReferral.Storage.Search;
using EarReferral.Storage.Sending;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Storage;

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

    protected override async Task InsertAsync(SearchTable table, IReadOnlyList<SearchRow> rows, CancellationToken cancellationToken)
    {
        await using var command = (SqliteCommand)Database.GetDbConnection().CreateCommand();
        command.Transaction = (SqliteTransaction?)Database.CurrentTransaction?.GetDbTransaction();
        var parameters = Enumerable.Range(0, table.Width).Select(index => command.Parameters.Add(new SqliteParameter { ParameterName = $"$p{index}" })).ToArray();
#pragma warning disable CA2100 // Names of the model's tables and columns and of the parameters above; no value comes into the text.
        command.CommandText = $"INSERT INTO {table.Name} ({table.Columns}) VALUES ({string.Join(", ", parameters.Select(parameter => parameter.ParameterName))})";
#pragma warning restore CA2100
        foreach (var row in rows)
        {
            foreach (var (parameter, value) in parameters.Zip(table.Values(row)))
            {
                parameter.Value = value ?? DBNull.Value;
            }

            await command.ExecuteNonQueryAsync(cancellationToken);
        }
    }
}
