using EarReferral.Storage.Alarms;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Tests.Databases;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Storage.Tests.Alarms;

public sealed class AlarmStoreOnSqliteTests() : AlarmStoreTests(DatabaseKind.Sqlite);

public sealed class AlarmStoreOnPostgreSqlTests() : AlarmStoreTests(DatabaseKind.PostgreSql);

public abstract class AlarmStoreTests(DatabaseKind kind) : StoreContract(kind)
{
    private static readonly DateTimeOffset Now = Sample.Received;
    private static readonly TimeSpan Lease = TimeSpan.FromMinutes(2);

    [Fact]
    public async Task TenThatRaiseTheSameAtOnce_RaiseOneAlarm()
    {
        var raised = await Task.WhenAll(Enumerable.Range(0, 10).Select(_ => Alarms.RaiseAsync(Cause("T1"), Now, Stop)));

        Assert.Single(raised, each => each);
        Assert.Single((await Alarms.ListAsync(Everything, openOnly: true, null, 10, Stop)).Items);
    }

    [Fact]
    public async Task TenThatClaimAtOnce_GetEachAlarmOnce()
    {
        await Alarms.RaiseAsync(Cause("T3"), Now, Stop);
        await Alarms.RaiseAsync(Cause("T0"), Now, Stop);

        var claims = (await Task.WhenAll(Enumerable.Range(0, 10).Select(_ => Alarms.ClaimAsync(Now, Lease, Stop)))).OfType<Alarm>().ToList();
        if (claims.Count < 2)
        {
            // All ten may have looked at the same one; whoever comes back finds the other.
            claims.Add((await Alarms.ClaimAsync(Now, Lease, Stop))!);
        }

        Assert.Equal(["T0", "T3"], claims.Select(alarm => alarm.Cause.Tier).Order());
        Assert.Null(await Alarms.ClaimAsync(Now, Lease, Stop));
    }

    [Fact]
    public async Task MostUrgentAlarm_IsToldFirst()
    {
        await Alarms.RaiseAsync(Cause("T3"), Now, Stop);
        await Alarms.RaiseAsync(Cause("T0"), Now.AddMinutes(1), Stop);

        Assert.Equal("T0", (await Alarms.ClaimAsync(Now.AddMinutes(1), Lease, Stop))!.Cause.Tier);
    }

    [Fact]
    public async Task WhoLostTheClaim_PlansNothing()
    {
        await Alarms.RaiseAsync(Cause("T1"), Now, Stop);
        var slow = await Alarms.ClaimAsync(Now, Lease, Stop);
        var next = await Alarms.ClaimAsync(Now + Lease, Lease, Stop);

        Assert.False(await Alarms.MoveAsync(slow!, 1, Now + Lease, Stop));
        Assert.True(await Alarms.MoveAsync(next!, 1, Now.AddHours(1), Stop));
        Assert.Equal(slow!.MessageId, next!.MessageId);
    }

    [Fact]
    public async Task Acknowledgement_IsAuditedAndBoundToItsClinic()
    {
        await Alarms.RaiseAsync(Cause("T1"), Now, Stop);
        var id = (await Alarms.ListAsync(Everything, openOnly: true, null, 10, Stop)).Items[0].Id;
        var by = new Acknowledgement(Now, "Morwenna Tal", "Phoning now.");

        Assert.Equal(AcknowledgeOutcome.NotFound, await Alarms.AcknowledgeAsync(new Reach.Clinic("another"), id, by, "client", "request", Stop));
        Assert.Equal(AcknowledgeOutcome.Acknowledged, await Alarms.AcknowledgeAsync(new Reach.Clinic(Sample.Clinic), id, by, "client", "request", Stop));

        Assert.Empty((await Alarms.ListAsync(Everything, openOnly: true, null, 10, Stop)).Items);
        Assert.Equal("alarm acknowledged by Morwenna Tal", (await Store.Audit.ListAsync(Everything, null, 10, Stop)).Items[^1].Purpose);
    }

    [Fact]
    public async Task LineOfAnExpiredClock_AndItsAlarmAreWrittenTogetherOnce()
    {
        await Store.Encounters.SaveAsync(Sample.Encounter(1, referral: Sample.Referral(1), resources: [Sample.Task("task-1", Hl7.Fhir.Model.Task.TaskStatus.Requested)]), Stop);
        var tier = (await Store.Referrals.FindAsync(Everything, "referral-1", Stop))!.Tier;
        var line = new ReferralEvent(Now.AddHours(1), "delivery-overdue", "delivery", Detail: "Telephone.");

        var raised = await Task.WhenAll(Enumerable.Range(0, 5).Select(_ => Store.Referrals.RaiseOnceAsync(Everything, "referral-1", tier, line, Stop)));

        Assert.Single(raised, each => each);
        var alarm = Assert.Single((await Alarms.ListAsync(Everything, openOnly: true, null, 10, Stop)).Items);
        Assert.Equal(("delivery-overdue", "referral-1", Sample.Clinic), (alarm.Cause.Kind, alarm.Cause.ReferralId, alarm.Cause.ClinicId));
    }

    [Fact]
    public async Task TurnOfAChannel_IsTakenOnce()
    {
        var turns = await Task.WhenAll(Enumerable.Range(0, 10).Select(_ => Channels.ClaimAsync("duty", Now, Now.AddMinutes(5), Stop)));

        Assert.Single(turns.OfType<ChannelState>());
        Assert.NotNull(await Channels.ClaimAsync("duty", Now.AddMinutes(5), Now.AddMinutes(10), Stop));
    }

    [Fact]
    public async Task ChannelFails_FromTheFirstFailureUntilSomethingGetsThrough()
    {
        await Channels.RecordAsync("duty", Now, false, "status-500", null, null, Stop);
        await Channels.RecordAsync("duty", Now.AddMinutes(5), false, "timed-out", null, null, Stop);
        Assert.Equal((Now, "timed-out"), await StateAsync());

        await Channels.RecordAsync("duty", Now.AddMinutes(6), true, "status-200", Now.AddDays(1), null, Stop);
        Assert.Equal((null, "status-200"), await StateAsync());

        async Task<(DateTimeOffset?, string?)> StateAsync()
        {
            var state = Assert.Single(await Channels.ListAsync(new Reach.Everything("test"), Stop));
            return (state.FailingSince, state.LastOutcome);
        }
    }

    private AlarmStore Alarms => Store.Alarms;

    private ChannelStore Channels => Store.Channels;

    private static AlarmCause Cause(string tier) => new($"delivery-overdue/r-1/{tier}", "delivery-overdue", Sample.Clinic, "r-1", tier, Now);
}
