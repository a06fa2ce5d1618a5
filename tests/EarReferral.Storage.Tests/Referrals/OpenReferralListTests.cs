using EarReferral.Storage.Referrals;
using EarReferral.Storage.Tests.Databases;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Storage.Tests.Referrals;

public sealed class OpenReferralListOnSqliteTests() : OpenReferralListTests(DatabaseKind.Sqlite);

public sealed class OpenReferralListOnPostgreSqlTests() : OpenReferralListTests(DatabaseKind.PostgreSql);

/// <summary>The order in which people see what is open: our own rule, no source.</summary>
public abstract class OpenReferralListTests(DatabaseKind kind) : StoreContract(kind)
{
    [Fact]
    public async Task UrgentComesFirst_ThenTheEarlierDeadline_ThenWhatHasNone()
    {
        await SaveAsync(1, "T3", null);
        await SaveAsync(2, "T2", 14);
        await SaveAsync(3, "T1", 30);
        await SaveAsync(4, "T2", 7);
        await SaveAsync(5, "T0", 31);

        var page = await Store.OpenReferrals.ReadAsync(Everything, OpenFilter.All, 0, 10, Stop);

        Assert.Equal(["referral-3", "referral-5", "referral-4", "referral-2", "referral-1"], page.Lines.Select(line => line.Referral.ReferralId));
        Assert.Equal((5, "V-3", 0), (page.Total, page.Lines[0].VisitNumber, page.Lines[0].Attempts));
        Assert.True(page.Lines.All(line => line.Referral.Request.IsEmpty));
        Assert.Equal(["referral-4"], (await Store.OpenReferrals.ReadAsync(Everything, OpenFilter.All, 2, 1, Stop)).Lines.Select(line => line.Referral.ReferralId));
    }

    [Fact]
    public async Task FiltersAndReach_ShowWhatTheySayAndNoMore()
    {
        await SaveAsync(1, "T1", 1);
        await SaveAsync(2, "T3", null, hold: true);
        await SaveAsync(3, "T2", 14);

        Assert.Equal(["referral-1"], await IdsAsync(Everything, OpenFilter.Urgent));
        Assert.Equal(["referral-2"], await IdsAsync(Everything, OpenFilter.NeedsPerson));
        Assert.Equal(["referral-1", "referral-3", "referral-2"], await IdsAsync(Everything, OpenFilter.NotDelivered));
        Assert.Empty(await IdsAsync(Everything, OpenFilter.NotAccepted));
        Assert.Equal(3, (await IdsAsync(new Reach.Clinic(Sample.Clinic), OpenFilter.All)).Count);
        Assert.Empty(await IdsAsync(new Reach.Clinic("saltmarsh-ears"), OpenFilter.All));
    }

    private async Task SaveAsync(int number, string tier, int? days, bool hold = false) => await Store.Encounters.SaveAsync(
        Sample.Encounter(number: number, content: $"open-{number}", referral: Sample.Referral(number, due: days is { } some ? Sample.Received.AddDays(some) : null, hold: hold) with { Tier = tier }),
        Stop);

    private async Task<IReadOnlyList<string>> IdsAsync(Reach reach, OpenFilter filter) =>
        [.. (await Store.OpenReferrals.ReadAsync(reach, filter, 0, 10, Stop)).Lines.Select(line => line.Referral.ReferralId)];
}
