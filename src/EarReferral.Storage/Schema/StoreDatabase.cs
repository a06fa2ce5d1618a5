using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Diagnostics;
using Npgsql;

namespace EarReferral.Storage.Schema;

/// <summary>Opens contexts and runs units of work: every write is one transaction, and on SQLite one at a time.</summary>
internal sealed class StoreDatabase : IDisposable
{
    private const int TriesPerWrite = 5;

    private readonly DbContextOptions<SqliteStoreContext>? sqlite;
    private readonly DbContextOptions<PostgresStoreContext>? postgres;
    private readonly SemaphoreSlim writeGate = new(1, 1);

    public StoreDatabase(StorageOptions options)
    {
        switch (options.Provider)
        {
            case StorageProvider.Sqlite:
                FilePath = SqliteFile.PathOf(options);
                var connection = new SqliteConnectionStringBuilder(options.ConnectionString) { DataSource = FilePath };
                sqlite = new DbContextOptionsBuilder<SqliteStoreContext>()
                    .UseSqlite(connection.ConnectionString)
                    .AddInterceptors(new SqlitePragmas())
                    .ConfigureWarnings(LeaveModelCheckToTests)
                    .Options;
                break;
            case StorageProvider.PostgreSql:
                postgres = new DbContextOptionsBuilder<PostgresStoreContext>()
                    .UseNpgsql(PostgresConnection.Of(options))
                    .ConfigureWarnings(LeaveModelCheckToTests)
                    .Options;
                break;
            default:
                throw new InvalidOperationException($"Storage:Provider {options.Provider} is not known.");
        }
    }

    /// <summary>Path of the SQLite file; null on PostgreSQL.</summary>
    public string? FilePath { get; }

    public bool IsSqlite => sqlite is not null;

    public StoreContext Open() => sqlite is not null ? new SqliteStoreContext(sqlite) : new PostgresStoreContext(postgres!);

    public async Task<T> ReadAsync<T>(Func<StoreContext, Task<T>> work)
    {
        await using var store = Open();
        store.ChangeTracker.QueryTrackingBehavior = QueryTrackingBehavior.NoTracking;
        return await work(store);
    }

    /// <summary>
    /// Runs the work in one transaction. The work starts again from nothing when another writer got in between, so it must
    /// have no effect outside the context. Returning <c>Keep: false</c> rolls back.
    /// </summary>
    public async Task<T> WriteAsync<T>(Func<StoreContext, Task<(T Result, bool Keep)>> work, CancellationToken cancellationToken)
    {
        for (var attempt = 1; ; attempt++)
        {
            try
            {
                return await WriteOnceAsync(work, cancellationToken);
            }
            catch (Exception exception) when (attempt < TriesPerWrite && IsRace(exception))
            {
                // The other writer has committed by now, or waits for us no longer; the next try sees its rows.
                continue;
            }
        }
    }

    public Task<T> WriteAsync<T>(Func<StoreContext, Task<T>> work, CancellationToken cancellationToken) =>
        WriteAsync(async store => (await work(store), true), cancellationToken);

    public void Dispose() => writeGate.Dispose();

    // MigrationsTests compare the model with the migrations of both stores; a build that passed them need not do so again at every start.
    private static void LeaveModelCheckToTests(WarningsConfigurationBuilder warnings) => warnings.Ignore(RelationalEventId.PendingModelChangesWarning);

    private async Task<T> WriteOnceAsync<T>(Func<StoreContext, Task<(T Result, bool Keep)>> work, CancellationToken cancellationToken)
    {
        if (IsSqlite)
        {
            await writeGate.WaitAsync(cancellationToken);
        }

        try
        {
            await using var store = Open();
            await using var transaction = await store.Database.BeginTransactionAsync(cancellationToken);
            var (result, keep) = await work(store);
            if (keep)
            {
                await store.SaveChangesAsync(cancellationToken);
                await transaction.CommitAsync(cancellationToken);
            }

            return result;
        }
        finally
        {
            if (IsSqlite)
            {
                writeGate.Release();
            }
        }
    }

    private static bool IsRace(Exception exception) =>
        exception is DbUpdateConcurrencyException
        || (exception as PostgresException ?? exception.InnerException as PostgresException) is
        {
            SqlState: PostgresErrorCodes.UniqueViolation
                or PostgresErrorCodes.DeadlockDetected
                or PostgresErrorCodes.SerializationFailure
                // idle_in_transaction_session_timeout: the server ended it because this process slept; nothing of it was kept.
                or "25P03",
        };
}
