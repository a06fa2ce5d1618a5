using EarReferral.Storage.Tests.Databases;
using Hl7.Fhir.Model;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Storage.Tests;

public sealed class StoreOnSqliteTests() : StoreTests(DatabaseKind.Sqlite)
{
    [Theory]
    [InlineData("journal_mode", "wal")]
    [InlineData("synchronous", "2")]
    [InlineData("foreign_keys", "1")]
    [InlineData("busy_timeout", "10000")]
    public async Task Connection_HasThePragma(string name, string expected)
    {
        await using var store = Store.Database.Open();
        await store.Database.OpenConnectionAsync(Stop);
        await using var command = store.Database.GetDbConnection().CreateCommand();
        command.CommandText = $"PRAGMA {name}";

        var value = await command.ExecuteScalarAsync(Stop);

        Assert.Equal(expected, Convert.ToString(value, System.Globalization.CultureInfo.InvariantCulture));
    }

    [Fact]
    public async Task Files_AreReadableByTheirOwnerOnly()
    {
        if (OperatingSystem.IsWindows())
        {
            Assert.Skip("File modes are a Unix matter.");
            return;
        }

        await using var store = Store.Database.Open();
        await store.Database.OpenConnectionAsync(Stop);

        foreach (var file in new[] { string.Empty, "-wal", "-shm" }.Select(ending => Store.Database.FilePath + ending))
        {
            Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite, File.GetUnixFileMode(file));
        }
    }

    [Fact]
    public async Task StartAfterOneThatWasKilledWhileMigrating_DoesNotWaitForItsLock()
    {
        await using (var store = Store.Database.Open())
        {
            // What a killed start leaves: the lock row of EF Core, and a migration that was not written down.
            await store.Database.ExecuteSqlAsync(
                $"INSERT INTO __EFMigrationsLock (Id, Timestamp) VALUES (1, '2024-03-10 09:30:00')", Stop);
        }

        await Store.Store.MigrateAsync(Stop).WaitAsync(TimeSpan.FromSeconds(30), Stop);

        Assert.True(await Store.Store.SchemaMatchesAsync(Stop));
    }

    [Fact]
    public async Task MigrationThatFailsHalfway_LeavesNoHalfTables()
    {
        await using var fresh = await DatabaseKind.Sqlite.NewAsync();
        await using (var store = fresh.Database.Open())
        {
            Schema.SqliteFile.Prepare(fresh.Database.FilePath!);

            // A table in the way of one of the last statements: the migration stops in its middle.
            await store.Database.ExecuteSqlAsync($"CREATE TABLE search_token (key INTEGER)", Stop);
        }

        await Assert.ThrowsAsync<SqliteException>(() => fresh.Store.MigrateAsync(Stop));
        await using (var store = fresh.Database.Open())
        {
            await store.Database.ExecuteSqlAsync($"DROP TABLE search_token", Stop);
        }

        await fresh.Store.MigrateAsync(Stop);
        Assert.True(await fresh.Store.SchemaMatchesAsync(Stop));
    }

    [Fact]
    public async Task DatabaseWithoutTables_IsNotWritable()
    {
        await using var fresh = await DatabaseKind.Sqlite.NewAsync();

        Assert.False(await fresh.Store.IsWritableAsync(Stop));
    }
}

public sealed class StoreOnPostgreSqlTests() : StoreTests(DatabaseKind.PostgreSql);

public abstract class StoreTests(DatabaseKind kind) : StoreContract(kind)
{
    [Fact]
    public async Task StartsAtOnce_AllFindTheSchemaUpToDate()
    {
        await Task.WhenAll(Enumerable.Range(0, 3).Select(_ => Task.Run(() => Store.Store.MigrateAsync(Stop), Stop)));

        Assert.True(await Store.Store.SchemaMatchesAsync(Stop));
        Assert.True(await Store.Store.IsWritableAsync(Stop));
    }

    [Fact]
    public async Task Model_HasNoChangeWithoutMigration()
    {
        await using var store = Store.Database.Open();

        Assert.False(store.Database.HasPendingModelChanges());
        Assert.NotEqual(0, await store.Facts.CountAsync(Stop));
    }

    [Fact]
    public async Task IndexOfAnotherVersion_IsMadeAnewAfterTheStart()
    {
        await Store.Encounters.SaveAsync(Sample.Encounter(resources: [Sample.Procedure("a", new FhirDateTime("2024-03-10"))]), Stop);
        await using (var store = Store.Database.Open())
        {
            await store.SearchReferences.ExecuteDeleteAsync(Stop);
            await store.Facts.Where(fact => fact.Name == "search-index-version")
                .ExecuteUpdateAsync(set => set.SetProperty(fact => fact.Value, "0"), Stop);
        }

        await Store.Store.MigrateAsync(Stop);
        await Store.Store.RenewIndexAsync(Stop);

        await using var after = Store.Database.Open();
        Assert.Equal(2, await after.SearchReferences.CountAsync(Stop));
        Assert.Equal(1, await after.SearchDates.CountAsync(Stop));
    }
}

public sealed class StorageOptionsTests
{
    [Theory]
    [InlineData(StorageProvider.Sqlite, null)]
    [InlineData(StorageProvider.Sqlite, "Data Source=:memory:")]
    [InlineData(StorageProvider.PostgreSql, null)]
    public void OptionsThatCannotKeepAnything_AreRefusedAtStart(StorageProvider provider, string? connection)
    {
        Assert.Throws<InvalidOperationException>(() => new Schema.StoreDatabase(
            new StorageOptions { Provider = provider, ConnectionString = connection }).Dispose());
    }
}
