using System.Globalization;
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
    private readonly SearchIndexState index;
    private readonly ILogger<Store> logger;

    internal Store(StoreDatabase database, SearchIndexState index, ILogger<Store> logger) => (this.database, this.index, this.logger) = (database, index, logger);

    /// <summary>How far the renewal of the search index is; null when the index is that of this build.</summary>
    public IndexProgress? Renewal => index.Progress;

    /// <summary>
    /// Brings the tables up to date and looks how old the search index is; <see cref="RenewIndexAsync"/> renews it. To be awaited
    /// before anything else uses the store. A start that was cut off in the middle is taken up again.
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

        await ReadIndexVersionAsync(cancellationToken);
    }

    /// <summary>
    /// Indexes what an older build indexed, batch by batch, while everything else goes on: what the old index answers it goes on
    /// answering, and what only the new one can is refused until this is done. Cut off, it begins again at the next start.
    /// </summary>
    public async Task RenewIndexAsync(CancellationToken cancellationToken)
    {
        if (index.Progress is not { } progress)
        {
            return;
        }

        for (var (last, done) = (0L, false); !done;)
        {
            var batch = await database.WriteAsync(store => ReindexAsync(store, last, cancellationToken), cancellationToken);
            (last, done) = (batch.Last, batch.Count < ReindexBatch);
            progress = progress with { Done = progress.Done + batch.Count };
            index.Progress = progress;
            Log.Reindexing(logger, progress.Done, progress.Total, SearchParameters.IndexVersion);
        }

        // Written last: a renewal that is cut off begins again.
        await WriteIndexVersionAsync(cancellationToken);
        index.Renewed();
        Log.Reindexed(logger, progress.Done, SearchParameters.IndexVersion);
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

    private async Task ReadIndexVersionAsync(CancellationToken cancellationToken)
    {
        var (stored, count) = await database.ReadAsync(async store => (
            await store.Facts.Where(fact => fact.Name == IndexVersionFact).Select(fact => fact.Value).SingleOrDefaultAsync(cancellationToken),
            await store.Resources.CountAsync(cancellationToken)));
        var version = int.TryParse(stored, CultureInfo.InvariantCulture, out var read) ? read : 0;
        if (version != SearchParameters.IndexVersion && count > 0)
        {
            index.Begin(version, count);
            return;
        }

        if (version != SearchParameters.IndexVersion)
        {
            await WriteIndexVersionAsync(cancellationToken);
        }

        index.Renewed();
    }

    private Task<int> WriteIndexVersionAsync(CancellationToken cancellationToken)
    {
        var wanted = SearchParameters.IndexVersion.ToString(CultureInfo.InvariantCulture);
        return database.WriteAsync(
            store => store.Database.ExecuteSqlAsync(
                $"""
                INSERT INTO store_fact (name, value) VALUES ({IndexVersionFact}, {wanted})
                ON CONFLICT (name) DO UPDATE SET value = excluded.value
                """,
                cancellationToken),
            cancellationToken);
    }

    private static async Task<(int Count, long Last)> ReindexAsync(StoreContext store, long after, CancellationToken cancellationToken)
    {
        var keys = await store.Resources.Where(row => row.Key > after).OrderBy(row => row.Key).Select(row => row.Key).Take(ReindexBatch).ToListAsync(cancellationToken);
        foreach (var key in keys)
        {
            await ResourceWriter.LockIndexAsync(store, key, cancellationToken);
        }

        // Read after the locks: what somebody else stored meanwhile is what is indexed.
        var rows = await store.Resources
            .Where(row => keys.Contains(row.Key))
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

        return (keys.Count, keys.Count == 0 ? after : keys[^1]);
    }
}
