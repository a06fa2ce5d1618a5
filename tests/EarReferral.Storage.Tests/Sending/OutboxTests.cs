using System.Collections.Concurrent;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Sending;
using EarReferral.Storage.Tests.Databases;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Tests.Sending;

public sealed class OutboxOnSqliteTests() : OutboxTests(DatabaseKind.Sqlite);

public sealed class OutboxOnPostgreSqlTests() : OutboxTests(DatabaseKind.PostgreSql)
{
    [Fact]
    public async Task MachineWhoseClockIsAheadByMoreThanALease_TakesNothingFromAnother()
    {
        await QueueAsync(Sample.Referral());
        var claim = await ClaimAsync(Now);

        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now.AddHours(1), Lease, Stop));
        Assert.True(await Store.Outbox.RenewAsync(claim, Now.AddHours(-1), Lease, Settling, Stop));
        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now, Lease, Stop));
    }
}

public abstract class OutboxTests(DatabaseKind kind) : StoreContract(kind)
{
    private protected static readonly DateTimeOffset Now = Sample.Received.AddHours(1);
    private protected static readonly TimeSpan Lease = TimeSpan.FromMinutes(2);
    private protected static readonly TimeSpan Settling = TimeSpan.FromMinutes(1);
    private static readonly AttemptRecord Timeout = new(Now, null, "timeout", null, 30_000);
    private static readonly AttemptRecord Accepted = new(Now, 200, "accepted", null, 120);

    [Fact]
    public async Task Claims_FollowLaneThenDeadline()
    {
        await QueueAsync(Sample.Referral(1, lane: 2, due: Now.AddDays(1)));
        await QueueAsync(Sample.Referral(2, lane: 2));
        await QueueAsync(Sample.Referral(3, lane: 0, due: Now.AddDays(9)));
        await QueueAsync(Sample.Referral(4, lane: 2, due: Now.AddHours(2)));

        var order = new List<string>();
        while (await Store.Outbox.ClaimAsync(Sample.Hospital, Now, Lease, Stop) is { } claim)
        {
            order.Add(claim.ReferralId);
        }

        Assert.Equal(["referral-3", "referral-4", "referral-1", "referral-2"], order);
    }

    [Fact]
    public async Task WorkersAtOnce_NeverHoldTheSameSend()
    {
        foreach (var number in Enumerable.Range(1, 12))
        {
            await QueueAsync(Sample.Referral(number));
        }

        var claims = new ConcurrentBag<ClaimedSend>();
        await Task.WhenAll(Enumerable.Range(0, 6).Select(_ => Task.Run(
            async () =>
            {
                while (await Store.Outbox.ClaimAsync(Sample.Hospital, Now, Lease, Stop) is { } claim)
                {
                    claims.Add(claim);
                }
            },
            Stop)));

        Assert.Equal(12, claims.Count);
        Assert.Equal(12, claims.Select(claim => claim.ReferralId).Distinct().Count());
        Assert.Equal(12, claims.Select(claim => claim.LeaseToken).Distinct().Count());
    }

    [Fact]
    public async Task LostLease_KeepsTheAttemptAndNotItsDecision()
    {
        await QueueAsync(Sample.Referral());
        var slow = await ClaimAsync(Now);
        await AgeLeasesAsync(Lease);
        var next = await ClaimAsync(Now);

        var slowRecorded = await Store.Outbox.RecordAsync(slow, Timeout, new SendDecision.NeedsHuman("too late"), Now + Lease, Stop);
        var nextRecorded = await Store.Outbox.RecordAsync(next, Accepted, new SendDecision.Delivered("[]"), Now + Lease, Stop);

        Assert.False(slowRecorded);
        Assert.True(nextRecorded);
        Assert.Equal(ReferralState.Delivered, (await Store.Referrals.FindAsync(Everything, "referral-1", Stop))!.State);
        var attempts = await Store.Outbox.AttemptsAsync(Everything, "referral-1", Stop);
        Assert.Equal([(true, "unknown"), (false, "accepted")], attempts.Select(attempt => (attempt.LeaseLost, attempt.Attempt.Outcome)));
    }

    [Fact]
    public async Task LeaseInForce_KeepsOthersAwayAndCanBeRenewed()
    {
        await QueueAsync(Sample.Referral());
        var claim = await ClaimAsync(Now);

        await AgeLeasesAsync(Lease / 2);
        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now, Lease, Stop));
        Assert.True(await Store.Outbox.RenewAsync(claim, Now, Lease, Settling, Stop));
        await AgeLeasesAsync(Lease / 2);
        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now, Lease, Stop));
        await AgeLeasesAsync(Lease / 2);
        await ClaimAsync(Now);
        Assert.False(await Store.Outbox.RenewAsync(claim, Now, Lease, Settling, Stop));
    }

    [Fact]
    public async Task Retry_WaitsForItsTimeAndCountsAttempts()
    {
        await QueueAsync(Sample.Referral());
        await Store.Outbox.RecordAsync(await ClaimAsync(Now), Timeout, new SendDecision.RetryAt(Now.AddMinutes(10)), Now, Stop);

        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now.AddMinutes(9), Lease, Stop));
        Assert.Equal(1, (await ClaimAsync(Now.AddMinutes(10))).AttemptsBefore);
    }

    [Fact]
    public async Task NeedsHuman_IsNotSentAgainUntilReplayed()
    {
        await QueueAsync(Sample.Referral());
        await Store.Outbox.RecordAsync(await ClaimAsync(Now), Timeout, new SendDecision.NeedsHuman("refused"), Now, Stop);
        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now.AddDays(9), Lease, Stop));

        Assert.True(await Store.Referrals.ReplayAsync(Everything, "referral-1", "operator", Now.AddDays(9), Stop));

        await ClaimAsync(Now.AddDays(9));
        var timeline = await Store.Referrals.TimelineAsync(Everything, "referral-1", Stop);
        Assert.Equal(["queued", "needs-human", "replayed"], timeline.Select(entry => entry.Kind));
    }

    [Fact]
    public async Task Held_IsSentOnlyAfterRelease()
    {
        await QueueAsync(Sample.Referral(hold: true));
        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now, Lease, Stop));

        Assert.False(await Store.Referrals.ReleaseAsync(new Reach.Clinic("quayside"), "referral-1", "client", Now, Stop));
        Assert.True(await Store.Referrals.ReleaseAsync(new Reach.Clinic(Sample.Clinic), "referral-1", "client", Now, Stop));
        Assert.False(await Store.Referrals.ReleaseAsync(new Reach.Clinic(Sample.Clinic), "referral-1", "client", Now, Stop));

        await ClaimAsync(Now);
    }

    [Fact]
    public async Task PausedDestination_SendsNothingAndHoldsUpNoOther()
    {
        await QueueAsync(Sample.Referral(1));
        await QueueAsync(Sample.Referral(2, destination: "eastmoor-ent"));
        await Store.Destinations.PauseAsync(Sample.Hospital, true, "operator", Now, Stop);

        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now, Lease, Stop));
        Assert.NotNull(await Store.Outbox.ClaimAsync("eastmoor-ent", Now, Lease, Stop));

        await Store.Destinations.PauseAsync(Sample.Hospital, false, "operator", Now, Stop);
        await ClaimAsync(Now);
    }

    [Fact]
    public async Task OpenBreaker_LetsOneProbeThroughWhenItsTimeIsOver()
    {
        await QueueAsync(Sample.Referral(1));
        await QueueAsync(Sample.Referral(2));
        await Store.Destinations.ChangeBreakerAsync(
            Sample.Hospital, _ => new BreakerState(BreakerPosition.Open, Now.AddMinutes(5), 5), Stop);

        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now.AddMinutes(4), Lease, Stop));
        var claims = await Task.WhenAll(Enumerable.Range(0, 4).Select(_ => Task.Run(
            () => Store.Outbox.ClaimAsync(Sample.Hospital, Now.AddMinutes(5), Lease, Stop), Stop)));

        Assert.True(Assert.Single(claims.OfType<ClaimedSend>()).IsProbe);
        Assert.Equal(BreakerPosition.HalfOpen, (await Store.Destinations.FindAsync(Sample.Hospital, Stop)).Breaker.Position);
        await Store.Destinations.ChangeBreakerAsync(Sample.Hospital, _ => new BreakerState(BreakerPosition.Closed, null, 0), Stop);
        Assert.False((await ClaimAsync(Now.AddMinutes(5))).IsProbe);
    }

    [Fact]
    public async Task BreakerChangedByManyAtOnce_LosesNoChange()
    {
        await Task.WhenAll(Enumerable.Range(0, 4).Select(_ => Task.Run(
            () => Store.Destinations.ChangeBreakerAsync(
                Sample.Hospital, state => state with { ConsecutiveFailures = state.ConsecutiveFailures + 1 }, Stop),
            Stop)));

        Assert.Equal(4, (await Store.Destinations.FindAsync(Sample.Hospital, Stop)).Breaker.ConsecutiveFailures);
    }

    [Fact]
    public async Task ReturnedSend_IsFreeAtOnceWithoutAnAttempt()
    {
        await QueueAsync(Sample.Referral());

        Assert.True(await Store.Outbox.ReturnAsync(await ClaimAsync(Now), Stop));

        Assert.Equal(0, (await ClaimAsync(Now)).AttemptsBefore);
    }

    [Fact]
    public async Task Depth_CountsByDestinationAndStateWithinReach()
    {
        await QueueAsync(Sample.Referral(1, due: Now.AddDays(2)));
        await QueueAsync(Sample.Referral(2, due: Now.AddDays(1)));
        await QueueAsync(Sample.Referral(3, hold: true));
        await QueueAsync(Sample.Referral(4, destination: "eastmoor-ent"));

        var depth = await Store.Outbox.DepthAsync(new Reach.Destination(Sample.Hospital), Stop);

        Assert.Equal([(SendState.Held, 1), (SendState.Waiting, 2)], depth.Select(each => (each.State, each.Count)));
        Assert.Equal(Now.AddDays(1), depth[1].EarliestDue);
        Assert.Null(depth[0].EarliestDue);
    }

    [Fact]
    public async Task FirstContactWithAPatient_IsNotMadeByTwoSendsAtOnce()
    {
        await QueueAsync(Sample.Referral(1, request: Request("pat-1", "org-1")));
        await QueueAsync(Sample.Referral(2, request: Request("pat-1", "org-2")));
        await QueueAsync(Sample.Referral(3, request: Request("pat-3", "org-3")));

        var first = await ClaimAsync(Now);
        var beside = await ClaimAsync(Now);

        Assert.Equal(["referral-1", "referral-3"], [first.ReferralId, beside.ReferralId]);
        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now, Lease, Stop));

        await Store.Outbox.RecordAsync(first, Accepted, new SendDecision.Delivered("[]"), Now, Stop);
        Assert.Equal("referral-2", (await ClaimAsync(Now)).ReferralId);
    }

    [Fact]
    public async Task PersonWhomTheDestinationHolds_NoLongerKeepsSendsApartThere()
    {
        await QueueAsync(Sample.Referral(1, request: Request("pat-1")));
        await QueueAsync(Sample.Referral(2, request: Request("pat-1")));
        await QueueAsync(Sample.Referral(3, request: Request("pat-1")));
        await QueueAsync(Sample.Referral(4, destination: "eastmoor-ent", request: Request("pat-1")));
        await QueueAsync(Sample.Referral(5, destination: "eastmoor-ent", request: Request("pat-1")));

        await Store.Outbox.RecordAsync(await ClaimAsync(Now), Accepted, new SendDecision.Delivered("[]"), Now, Stop);

        Assert.Equal("referral-2", (await ClaimAsync(Now)).ReferralId);
        Assert.Equal("referral-3", (await ClaimAsync(Now)).ReferralId);
        Assert.NotNull(await Store.Outbox.ClaimAsync("eastmoor-ent", Now, Lease, Stop));
        Assert.Null(await Store.Outbox.ClaimAsync("eastmoor-ent", Now, Lease, Stop)); // unknown there still
    }

    [Fact]
    public async Task FirstContactWhoseWorkerDied_IsMadeByTheNextWhenTheLeaseIsOver()
    {
        await QueueAsync(Sample.Referral(1, request: Request("pat-1")));
        await QueueAsync(Sample.Referral(2, request: Request("pat-1")));
        await ClaimAsync(Now);
        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now, Lease, Stop));

        await AgeLeasesAsync(Lease);

        await ClaimAsync(Now);
    }

    [Fact]
    public async Task FirstContactThatTimedOut_IsMadeByNobodyUntilTheReceiverHasSettled()
    {
        await QueueAsync(Sample.Referral(1, request: Request("pat-1", "org-1")));
        await QueueAsync(Sample.Referral(2, request: Request("pat-2", "org-1")));
        await QueueAsync(Sample.Referral(3, request: Request("pat-3", "org-3")));
        var first = await ClaimAsync(Now);
        Assert.True(await Store.Outbox.BeginAsync(first, new ReferralEvent(Now, "sending", "test"), Now, Lease, Settling, Stop));

        // Its lease is gone and it may go again at once; the receiver may still be storing it.
        await Store.Outbox.RecordAsync(first, Timeout, new SendDecision.RetryAt(Now) { Settling = Settling }, Now, Stop);

        Assert.Equal("referral-3", (await ClaimAsync(Now)).ReferralId);
        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now, Lease, Stop));
        await AgeLeasesAsync(Settling);
        Assert.Equal("referral-1", (await ClaimAsync(Now)).ReferralId);
    }

    [Fact]
    public async Task FirstContactThatTheReceiverRefused_KeepsNobodyWaiting()
    {
        await QueueAsync(Sample.Referral(1, request: Request("pat-1")));
        var first = await ClaimAsync(Now);
        Assert.True(await Store.Outbox.BeginAsync(first, new ReferralEvent(Now, "sending", "test"), Now, Lease, Settling, Stop));

        await Store.Outbox.RecordAsync(first, Timeout, new SendDecision.RetryAt(Now), Now, Stop);

        Assert.Equal("referral-1", (await ClaimAsync(Now)).ReferralId);
    }

    [Fact]
    public async Task FirstContactWhoseWorkerDiedWhileSending_WaitsForTheReceiverAsWell()
    {
        await QueueAsync(Sample.Referral(1, request: Request("pat-1")));
        Assert.True(await Store.Outbox.BeginAsync(await ClaimAsync(Now), new ReferralEvent(Now, "sending", "test"), Now, Lease, Lease + Settling, Stop));

        await AgeLeasesAsync(Lease);
        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now, Lease, Stop));

        await AgeLeasesAsync(Settling);
        await ClaimAsync(Now);
    }

    [Fact]
    public async Task ProcessThatSleptPastItsLease_MeetsItsOwnSendNeitherAgainNorBesideIt()
    {
        await QueueAsync(Sample.Referral(1, request: Request("pat-1")));
        await QueueAsync(Sample.Referral(2, request: Request("pat-1")));
        await QueueAsync(Sample.Referral(3, request: Request("pat-3")));
        var own = await ClaimAsync(Now);
        await AgeLeasesAsync(Lease);

        var beside = await Store.Outbox.ClaimAsync(Sample.Hospital, Now, Lease, [own.ReferralId], Stop);
        var more = await Store.Outbox.ClaimAsync(Sample.Hospital, Now, Lease, [own.ReferralId, beside!.ReferralId], Stop);

        Assert.Equal("referral-3", beside.ReferralId);
        Assert.Null(more);
        Assert.Equal("referral-1", (await ClaimAsync(Now)).ReferralId); // another process takes it over
    }

    [Fact]
    public async Task PersonWhomTheDestinationHolds_IsNotWaitedFor()
    {
        await QueueAsync(Sample.Referral(1, request: Request("pat-1")));
        await Store.Outbox.RecordAsync(await ClaimAsync(Now), Accepted, new SendDecision.Delivered("[]"), Now, Stop);
        await QueueAsync(Sample.Referral(2, request: Request("pat-1")));

        await Store.Outbox.RecordAsync(await ClaimAsync(Now), Timeout, new SendDecision.RetryAt(Now) { Settling = Settling }, Now, Stop);

        Assert.Equal("referral-2", (await ClaimAsync(Now)).ReferralId);
    }

    [Fact]
    public async Task ManyWorkersAtOnce_BringAPatientOnlyOnce()
    {
        foreach (var number in Enumerable.Range(1, 8))
        {
            await QueueAsync(Sample.Referral(number, request: Request("pat-1")));
        }

        var claims = await Task.WhenAll(Enumerable.Range(0, 6).Select(_ => Task.Run(
            () => Store.Outbox.ClaimAsync(Sample.Hospital, Now, Lease, Stop), Stop)));

        Assert.Single(claims.OfType<ClaimedSend>());
    }

    [Fact]
    public async Task BeginningWithALostLease_IsRefusedAndLeavesNoTrace()
    {
        await QueueAsync(Sample.Referral());
        var slow = await ClaimAsync(Now);
        Assert.True(await Store.Outbox.BeginAsync(slow, new ReferralEvent(Now, "sending", "test"), Now, Lease, Settling, Stop));
        await AgeLeasesAsync(Lease);
        await ClaimAsync(Now);

        Assert.False(await Store.Outbox.BeginAsync(slow, new ReferralEvent(Now, "sending", "test"), Now, Lease, Settling, Stop));

        Assert.Single(await Store.Referrals.TimelineAsync(Everything, "referral-1", Stop), entry => entry.Kind == "sending");
    }

    /// <summary>A transaction as the mapping makes it, of people and organisations only.</summary>
    private static string Request(params string[] identifiers) =>
        $$"""{"resourceType":"Bundle","type":"transaction","entry":[{{string.Join(',', identifiers.Select(identifier => $$$"""
        {"request":{"method":"POST","url":"{{{(identifier.StartsWith("pat", StringComparison.Ordinal) ? "Patient" : "Organization")}}}","ifNoneExist":"identifier=https%3A%2F%2Fear-referral.example%7C{{{identifier}}}"}}
        """))}}]}""";

    /// <summary>Time passes for the leases; on PostgreSQL it is the server's time, which no test can move.</summary>
    private Task<int> AgeLeasesAsync(TimeSpan age) => Store.Database.WriteAsync(
        store => store.Database.ExecuteSqlAsync($"UPDATE outbox SET lease_until = lease_until - {(long)age.TotalMilliseconds}, settled_at = settled_at - {(long)age.TotalMilliseconds}", Stop), Stop);

    private protected async Task QueueAsync(OutgoingReferral referral)
    {
        var number = int.Parse(referral.ReferralId["referral-".Length..], null);
        await Store.Encounters.SaveAsync(Sample.Encounter(number, referral: referral), Stop);
    }

    private protected async Task<ClaimedSend> ClaimAsync(DateTimeOffset now)
    {
        var claim = await Store.Outbox.ClaimAsync(Sample.Hospital, now, Lease, Stop);
        return claim ?? throw new InvalidOperationException("Nothing to claim.");
    }
}
