using EarReferral.Storage;
using EarReferral.Storage.Audit;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;

namespace EarReferral.Security.Tests.Audit;

/// <summary>The chain finds what somebody with the database in their hands does to it. Source: the requirement; common practice of hash chains, no source.</summary>
public sealed class SealTests : IAsyncLifetime
{
    private readonly string folder = Directory.CreateTempSubdirectory("ear-seals-").FullName;
    private readonly ServiceProvider services;

    public SealTests() => services = new ServiceCollection().AddStorage(new StorageOptions { DataFolder = folder }).BuildServiceProvider();

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    private AuditSeals Seals => services.GetRequiredService<AuditSeals>();

    public async ValueTask InitializeAsync()
    {
        await services.GetRequiredService<Store>().MigrateAsync(Stop);
        await AppendAsync(7);
        await Seals.SealAsync(Stop);
    }

    public async ValueTask DisposeAsync()
    {
        await services.DisposeAsync();
        SqliteConnection.ClearAllPools();
        Directory.Delete(folder, recursive: true);
    }

    [Fact]
    public async Task UntouchedChain_Holds_AndTellsTheTailThatIsNotSealed()
    {
        await AppendAsync(2);

        Assert.Equal(new AuditVerification(7, 0, 2, null, null), await Seals.VerifyAsync(Stop));
        Assert.Equal(2, await Seals.SealAsync(Stop));
        Assert.Equal(new AuditVerification(9, 0, 0, null, null), await Seals.VerifyAsync(Stop));
        Assert.Equal(0, await Seals.SealAsync(Stop));
    }

    [Theory]
    [InlineData("UPDATE audit SET actor = 'somebody else' WHERE id = 4", 4)]
    [InlineData("UPDATE audit SET at = at + 1 WHERE id = 2", 2)]
    [InlineData("UPDATE audit SET purpose = NULL, request_id = 'p' || request_id WHERE id = 3", 3)]
    [InlineData("DELETE FROM audit WHERE id = 5", 5)]
    [InlineData("DELETE FROM audit WHERE id = 5; DELETE FROM audit_seal WHERE audit_id = 5", 6)]
    [InlineData("UPDATE audit_seal SET salt = NULL WHERE audit_id = 3", 3)]
    [InlineData("UPDATE audit_seal SET digest = zeroblob(32) WHERE audit_id = 3", 3)]
    [InlineData("UPDATE audit_seal SET position = -1 WHERE position = 2; UPDATE audit_seal SET position = 2 WHERE position = 3; UPDATE audit_seal SET position = 3 WHERE position = -1", 3)]
    public async Task WhatIsChangedAfterwards_IsFoundAtTheFirstRow(string statement, long row)
    {
        await ChangeAsync(statement);
        var found = await Seals.VerifyAsync(Stop);

        Assert.Equal(row, found.BrokenAt);
        Assert.NotNull(found.Problem);
    }

    [Fact]
    public async Task ErasureOfARowWithItsSalt_LeavesTheChainVerifiable()
    {
        await ChangeAsync("DELETE FROM audit WHERE id = 3; UPDATE audit_seal SET salt = NULL WHERE audit_id = 3");

        Assert.Equal(new AuditVerification(7, 1, 0, null, null), await Seals.VerifyAsync(Stop));
    }

    [Fact]
    public async Task ManySealersAtOnce_MakeOneChain()
    {
        await AppendAsync(40);
        await Task.WhenAll(Enumerable.Range(0, 4).Select(_ => Seals.SealAsync(Stop)));

        Assert.Equal(new AuditVerification(47, 0, 0, null, null), await Seals.VerifyAsync(Stop));
    }

    private Task AppendAsync(int count) => services.GetRequiredService<AuditStore>().AppendAsync(
        [.. Enumerable.Range(0, count).Select(number => new AuditEntry(DateTimeOffset.UnixEpoch.AddSeconds(number), AuditAction.Read, AuditResult.Success, "client", "harbour-lane", "MRS42", Guid.NewGuid(), "Patient", $"{number}", "request", "purpose"))],
        Stop);

    private async Task ChangeAsync(string statement)
    {
        await using var connection = new SqliteConnection($"Data Source={Path.Combine(folder, "ear-referral.db")}");
        await connection.OpenAsync(Stop);
        await using var command = connection.CreateCommand();
        command.CommandText = statement;
        await command.ExecuteNonQueryAsync(Stop);
    }
}
