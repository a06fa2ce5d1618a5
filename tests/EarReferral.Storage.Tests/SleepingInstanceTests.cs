using EarReferral.Storage.Schema;
using EarReferral.Storage.Tests.Databases;
using Microsoft.EntityFrameworkCore;
using Npgsql;

namespace EarReferral.Storage.Tests;

/// <summary>
/// An instance that is stopped in the middle of a transaction, as by SIGSTOP or a paused virtual machine. PostgreSQL documentation,
/// client connection defaults: idle_in_transaction_session_timeout ends the session and releases its locks (SQLSTATE 25P03).
/// </summary>
public sealed class SleepingInstanceTests() : StoreContract(DatabaseKind.PostgreSql)
{
    [Fact]
    public async Task LockOfASleeper_IsFreeAfterTheLongestPause_AndItsTransactionLeavesNothing()
    {
        using var sleeping = new StoreDatabase(await OptionsAsync(TimeSpan.FromSeconds(1)));
        await using var sleeper = sleeping.Open();
        await using var transaction = await sleeper.Database.BeginTransactionAsync(Stop);
        await sleeper.LockAsync("send hospital", Stop);

        var got = await Store.Database.WriteAsync(
            async store =>
            {
                await store.LockAsync("send hospital", Stop);
                return true;
            },
            Stop);

        Assert.True(got);
        var woken = await Assert.ThrowsAnyAsync<Exception>(() => sleeper.LockAsync("send hospital", Stop));
        Assert.Equal("25P03", Assert.IsType<PostgresException>(woken.GetBaseException()).SqlState);
    }

    [Fact]
    public async Task SleeperThatWakes_DoesItsWorkFromTheBeginning()
    {
        using var sleeping = new StoreDatabase(await OptionsAsync(TimeSpan.FromSeconds(1)));
        var tries = 0;

        var done = await sleeping.WriteAsync(
            async store =>
            {
                await store.LockAsync("send hospital", Stop);
                if (++tries == 1)
                {
                    await Task.Delay(TimeSpan.FromSeconds(3), Stop);
                }

                await store.LeaseClockAsync(DateTimeOffset.UnixEpoch, Stop);
                return true;
            },
            Stop);

        Assert.True(done);
        Assert.Equal(2, tries);
    }

    [Fact]
    public void WhatTheOperatorSets_ComesLastAndWins() => Assert.Equal(
        "-c idle_in_transaction_session_timeout=10000 -c idle_in_transaction_session_timeout=3000",
        new NpgsqlConnectionStringBuilder(PostgresConnection.Of(new StorageOptions { ConnectionString = "Host=db;Options='-c idle_in_transaction_session_timeout=3000'" })).Options);

    private async Task<StorageOptions> OptionsAsync(TimeSpan pause)
    {
        await using var store = Store.Database.Open();
        var server = new NpgsqlConnectionStringBuilder(store.Database.GetConnectionString()) { Options = null };
        return new StorageOptions { Provider = StorageProvider.PostgreSql, ConnectionString = server.ConnectionString, LongestPause = pause };
    }
}
