using System.Net;
using EarReferral.Sandbox.Storing;

namespace EarReferral.Sandbox.Tests;

public sealed class JournalTests
{
    [Fact]
    public async Task After_a_restart_the_same_bundle_still_creates_nothing()
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        var before = (await sandbox.PostAsync(ReferralBundle.Of("a"))).Body["entry"]![1]!["response"]!["location"]!.ToString();
        await sandbox.StopAsync();
        await sandbox.StartAgainAsync();

        var after = (await sandbox.PostAsync(ReferralBundle.Of("a"))).Body["entry"]![1]!["response"]!;

        Assert.Equal(before, after["location"]!.ToString());
        Assert.Equal("200 OK", after["status"]!.ToString());
        Assert.Equal(1, await sandbox.CountAsync("ServiceRequest"));
    }

    [Fact]
    public async Task A_line_that_was_cut_off_by_a_crash_is_dropped_and_can_be_sent_again()
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        await sandbox.PostAsync(ReferralBundle.Of("a"));
        await sandbox.StopAsync();
        var whole = await File.ReadAllTextAsync(sandbox.JournalPath, TestContext.Current.CancellationToken);
        await File.WriteAllTextAsync(sandbox.JournalPath, whole + whole[..(whole.Length / 2)], TestContext.Current.CancellationToken);

        await sandbox.StartAgainAsync();
        var second = await sandbox.PostAsync(ReferralBundle.Of("b"));
        await sandbox.StopAsync();
        await sandbox.StartAgainAsync();

        Assert.Equal(HttpStatusCode.OK, second.Status);
        Assert.Equal(2, await sandbox.CountAsync("ServiceRequest"));
    }

    [Fact]
    public async Task A_damaged_line_in_the_middle_is_not_skipped()
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        await sandbox.PostAsync(ReferralBundle.Of("a"));
        await sandbox.StopAsync();
        var whole = await File.ReadAllTextAsync(sandbox.JournalPath, TestContext.Current.CancellationToken);
        await File.WriteAllTextAsync(sandbox.JournalPath, "{ broken\n" + whole, TestContext.Current.CancellationToken);

        var problem = Assert.Throws<InvalidDataException>(() => ReceiverStore.Open(sandbox.Options.DataFolder));

        Assert.Contains("line 1", problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_refused_bundle_leaves_no_line()
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        var bundle = ReferralBundle.Of("a");
        bundle["entry"]![2]!["resource"]!["focus"]!["reference"] = "ServiceRequest/42";

        await sandbox.PostAsync(bundle);

        Assert.Equal(0, new FileInfo(sandbox.JournalPath).Length);
    }

    [Fact]
    public async Task A_reset_forgets_everything_for_good()
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        await sandbox.PostAsync(ReferralBundle.Of("a"));

        await sandbox.ResetAsync();
        await sandbox.StopAsync();
        await sandbox.StartAgainAsync();

        Assert.Equal(0, await sandbox.CountAsync("ServiceRequest"));
        Assert.Equal("201 Created", (await sandbox.PostAsync(ReferralBundle.Of("a"))).Body["entry"]![1]!["response"]!["status"]!.ToString());
    }
}
