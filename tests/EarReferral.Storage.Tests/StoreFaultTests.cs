using EarReferral.Storage.Encounters;
using EarReferral.Storage.Tests.Databases;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Tests;

/// <summary>A store that cannot grow or may not be written: what was acknowledged stays, what was not leaves no trace, and it recovers by itself.</summary>
public sealed class StoreFaultTests() : StoreContract(DatabaseKind.Sqlite)
{
    /// <summary>The fault, what SQLite calls it (sqlite.org/rescode.html) and how it ends; both statements are of one connection, which the pool keeps.</summary>
    public static TheoryData<string, int, string> Faults => new()
    {
        { "PRAGMA max_page_count = 1", 13, "PRAGMA max_page_count = 1073741823" }, // SQLITE_FULL: a limit below the size allows no page more
        { "PRAGMA query_only = 1", 8, "PRAGMA query_only = 0" }, // SQLITE_READONLY
    };

    [Theory]
    [MemberData(nameof(Faults))]
    public async Task StoreThatCannotBeWritten_LosesNothingAcknowledgedAndTakesTheSameAgainLater(string fault, int code, string repair)
    {
        await SaveAsync(1);
        await ExecuteAsync(fault);

        // Pages that lie free in the file are used up first.
        var stored = 1;
        var failed = await Record.ExceptionAsync(async () =>
        {
            for (var number = 2; number < 400; number++)
            {
                await SaveAsync(number);
                stored = number;
            }
        });

        Assert.Equal(code, Assert.IsType<SqliteException>(failed?.GetBaseException()).SqliteErrorCode);
        Assert.Equal(stored, await CountAsync());
        await ExecuteAsync(repair);
        Assert.True(await Store.Store.IsWritableAsync(Stop));
        await SaveAsync(stored + 1);
        Assert.Equal(stored + 1, await CountAsync());
        for (var number = 1; number <= stored + 1; number++)
        {
            Assert.NotNull(await Store.Outbox.ClaimAsync(Sample.Hospital, Sample.Received.AddHours(1), TimeSpan.FromMinutes(5), Stop));
        }
    }

    [Fact]
    public async Task FileThatMayOnlyBeRead_CannotBeWrittenAndIsReadAsBefore()
    {
        if (OperatingSystem.IsWindows() || Environment.UserName == "root")
        {
            Assert.Skip("NOT RUN: file modes bind neither root nor Windows. The gate runs this as another user.");
            return;
        }

        await SaveAsync(1);
        var file = Store.Database.FilePath!;
        SqliteConnection.ClearAllPools();
        File.SetUnixFileMode(file, UnixFileMode.UserRead);

        Assert.False(await Store.Store.IsWritableAsync(Stop));
        await Assert.ThrowsAnyAsync<Exception>(() => SaveAsync(2));
        Assert.Equal(1, await CountAsync());

        SqliteConnection.ClearAllPools();

        // SQLite gave the files beside it the mode of the main one (sqlite.org/tempfiles.html), so all of them are put right.
        foreach (var each in Directory.GetFiles(Path.GetDirectoryName(file)!, "ear-referral.db*"))
        {
            File.SetUnixFileMode(each, UnixFileMode.UserRead | UnixFileMode.UserWrite);
        }

        await SaveAsync(2);
        Assert.Equal(2, await CountAsync());
    }

    private async Task SaveAsync(int number) => Assert.IsType<SaveOutcome.Saved>(await Store.Encounters.SaveAsync(
        Sample.Encounter(number, referral: Sample.Referral(number, request: new string('x', 20_000))), Stop));

    private Task<int> CountAsync() => Store.Database.ReadAsync(store => store.Outbox.CountAsync(Stop));

    private async Task ExecuteAsync(string statement)
    {
        await using var store = Store.Database.Open();
        await store.Database.OpenConnectionAsync(Stop);
        await using var command = store.Database.GetDbConnection().CreateCommand();
#pragma warning disable CA2100 // One of the four statements above.
        command.CommandText = statement;
#pragma warning restore CA2100
        await command.ExecuteNonQueryAsync(Stop);
    }
}
