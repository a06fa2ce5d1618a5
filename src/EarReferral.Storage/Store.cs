using EarReferral.Storage.Resources;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Search;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Logging;

namespace EarReferral.Storage;

/// <summary>The store as a whole: brought up to date at start, asked whether it can write.</summary>
public sealed class Store
{
    private const string IndexVersionFact = "search-index-version";
    private const int ReindexBatch = 200;

    private readonly StoreDatabase database;
    private readonly ILogger<Store> logger;

    internal Store(StoreDatabase database, ILogger<Store> logger) => (this.database, this.logger) = (database, logger);

    /// <summary>
    /// Brings the tables and the search index up to date. To be awaited before anything else uses the store. A start that
    /// was cut off in the middle is taken up again.
    /// </summary>
    public async Task MigrateAsync(CancellationToken cancellationToken)
    {
        using (await MigrationFileLock.TakeAsync(database.FilePath, cancellationToken))
        {
            await using var store = database.Open();
            await RemoveLeftoverLockAsync(store, cancellationToken);
            var pending = (await store.Database.GetPendingMigrationsAsync(cancellationToken)).ToList();
            await store.Database.MigrateAsync(cancellationToken);
            foreach (var migration in pending)
            {
                Log.MigrationApplied(logger, migration);
            }
        }

        await ReindexAsync(cancellationToken);
    }

    /// <summary>True when all migrations of this build, and none that it does not know, are applied.</summary>
    public Task<bool> SchemaMatchesAsync(CancellationToken cancellationToken) => database.ReadAsync(async store =>
        (await store.Database.GetAppliedMigrationsAsync(cancellationToken)).SequenceEqual(store.Database.GetMigrations()));

    /// <summary>True when a row can be written now; for the readiness check.</summary>
    public async Task<bool> IsWritableAsync(CancellationToken cancellationToken)
    {
        try
        {
            return await database.WriteAsync(
                async store => await store.Database.ExecuteSqlAsync(
                    $"""
                    INSERT INTO store_fact (name, value) VALUES ('write-check', 'ok')
                    ON CONFLICT (name) DO UPDATE SET value = excluded.value
                    """,
                    cancellationToken) == 1,
                cancellationToken);
        }
        catch (System.Data.Common.DbException exception)
        {
            Log.NotWritable(logger, exception.GetType().Name, exception.SqlState);
            return false;
        }
    }

    /// <summary>
    /// On SQLite the migration lock of EF Core is a row that a killed process leaves behind, and the next start would wait for
    /// it for ever. The file lock held here says that no other start is under way, so such a row is a leftover.
    /// </summary>
    private async Task RemoveLeftoverLockAsync(StoreContext store, CancellationToken cancellationToken)
    {
        if (database.FilePath is null)
        {
            return;
        }

        var hasTable = await store.Database
            .SqlQuery<int>($"SELECT COUNT(*) AS Value FROM sqlite_master WHERE name = '__EFMigrationsLock'")
            .SingleAsync(cancellationToken);
        var removed = hasTable == 0 ? 0 : await store.Database.ExecuteSqlAsync($"DELETE FROM __EFMigrationsLock", cancellationToken);
        if (removed > 0)
        {
            Log.LeftoverLockRemoved(logger, removed);
        }
    }

    private async Task ReindexAsync(CancellationToken cancellationToken)
    {
        var wanted = SearchParameters.IndexVersion.ToString(System.Globalization.CultureInfo.InvariantCulture);
        var current = await database.ReadAsync(store => store.Facts
            .Where(fact => fact.Name == IndexVersionFact).Select(fact => fact.Value).SingleOrDefaultAsync(cancellationToken));
        if (current == wanted)
        {
            return;
        }

        var (count, last) = (0, 0L);
        for (var done = false; !done;)
        {
            var batch = await database.WriteAsync(store => ReindexAsync(store, last, cancellationToken), cancellationToken);
            (count, last, done) = (count + batch.Count, batch.Last, batch.Count < ReindexBatch);
        }

        // Written last: a start that is cut off begins the index again.
        await database.WriteAsync(
            store => store.Database.ExecuteSqlAsync(
                $"""
                INSERT INTO store_fact (name, value) VALUES ({IndexVersionFact}, {wanted})
                ON CONFLICT (name) DO UPDATE SET value = excluded.value
                """,
                cancellationToken),
            cancellationToken);
        Log.Reindexed(logger, count, SearchParameters.IndexVersion);
    }

    private static async Task<(int Count, long Last)> ReindexAsync(StoreContext store, long after, CancellationToken cancellationToken)
    {
        var rows = await store.Resources
            .Where(row => row.Key > after)
            .OrderBy(row => row.Key)
            .Take(ReindexBatch)
            .Join(
                store.ResourceVersions,
                row => new { row.Key, row.Version },
                version => new { Key = version.ResourceKey, version.Version },
                (row, version) => new { Row = row, version.Json })
            .ToListAsync(cancellationToken);
        foreach (var each in rows)
        {
            var resource = ResourceJson.Parse(each.Json);
            await ResourceWriter.RemoveIndexAsync(store, each.Row.Key, cancellationToken);
            each.Row.SortDate = SearchIndexer.SortDate(resource);
            store.AddIndex(SearchIndexer.Rows(resource, each.Row));
        }

        return (rows.Count, rows.Count == 0 ? after : rows.Max(each => each.Row.Key));
    }
}
