using System.Text;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Sending;
using EarReferral.Storage.Tests.Databases;
using Task = System.Threading.Tasks.Task;
using TaskStatus = Hl7.Fhir.Model.Task.TaskStatus;

namespace EarReferral.Storage.Tests.Referrals;

public sealed class ReferralCorrectionOnSqliteTests() : ReferralCorrectionTests(DatabaseKind.Sqlite);

public sealed class ReferralCorrectionOnPostgreSqlTests() : ReferralCorrectionTests(DatabaseKind.PostgreSql);

/// <summary>The table of decision 0002: what a correction does to the referral of an earlier revision.</summary>
public abstract class ReferralCorrectionTests(DatabaseKind kind) : StoreContract(kind)
{
    private static readonly DateTimeOffset Now = Sample.Received.AddHours(1);
    private static readonly TimeSpan Lease = TimeSpan.FromMinutes(2);
    private static readonly SendDecision Again = new SendDecision.RetryAt(Now.AddMinutes(1));

    [Fact]
    public async Task HeldReferralRaisedToOneWithoutHold_IsQueuedAtOnce()
    {
        await SaveAsync(1, Sample.Referral(lane: 3, hold: true));

        var placement = await SaveAsync(2, Sample.Referral(lane: 1, request: "second"));

        Assert.Equal(ReferralPlacement.ReplacedBeforeSending, placement);
        Assert.Equal(ReferralState.Queued, (await FindAsync()).State);
        Assert.Equal("second", Encoding.UTF8.GetString((await ClaimAsync(Sample.Received.AddMinutes(2))).Request.Span));
    }

    [Fact]
    public async Task CorrectionWithoutReferralBeforeAnyClaim_TakesItBack()
    {
        await SaveAsync(1, Sample.Referral());

        Assert.Equal(ReferralPlacement.Withdrawn, await SaveAsync(2, null));

        Assert.Equal(ReferralState.Withdrawn, (await FindAsync()).State);
        Assert.Equal("withdrawn", await LastEventAsync());
        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now.AddDays(9), Lease, Stop));
    }

    [Fact]
    public async Task ReferralThatComesBackAfterBeingTakenBack_IsQueued()
    {
        await SaveAsync(1, Sample.Referral());
        await SaveAsync(2, null);

        Assert.Equal(ReferralPlacement.Queued, await SaveAsync(3, Sample.Referral(request: "third")));

        Assert.Equal("requested", (await FindAsync()).TaskStatus);
        Assert.Equal("third", Encoding.UTF8.GetString((await ClaimAsync(Now)).Request.Span));
    }

    [Theory]
    [InlineData("timed-out", false, "the receiver may have stored it")]
    [InlineData("delivered", true, "the receiver has it")]
    public async Task CorrectionWithoutReferralAfterAnAttempt_IsShownToAPerson(string outcome, bool delivered, string reason)
    {
        await SaveAsync(1, Sample.Referral());
        await AttemptAsync(outcome, delivered ? new SendDecision.Delivered("[]") : Again);

        Assert.Equal(ReferralPlacement.WithdrawnAfterSending, await SaveAsync(2, null));

        Assert.True((await FindAsync()).State == ReferralState.WithdrawnAfterSending, reason);
        Assert.Equal("withdrawn-after-sending", await LastEventAsync());
        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now.AddDays(9), Lease, Stop));
    }

    [Theory]
    [InlineData("not-connected", true, "no connection came about, so the receiver has nothing")]
    [InlineData("timed-out", false, "the bytes went out and may have arrived")]
    [InlineData("stopped", false, "the service stopped somewhere in the attempt")]
    [InlineData("a word of later versions", false, "what is not known to be harmless is not")]
    public async Task CorrectionAfterAnAttempt_ReplacesOnlyWhatCertainlyNeverLeft(string outcome, bool replaced, string reason)
    {
        await SaveAsync(1, Sample.Referral(lane: 3));
        await AttemptAsync(outcome, Again);

        var placement = await SaveAsync(2, Sample.Referral(lane: 0, request: "second") with { Tier = "T0" });

        var referral = await FindAsync();
        Assert.True(placement == (replaced ? ReferralPlacement.ReplacedBeforeSending : ReferralPlacement.AlreadyTried), reason);
        Assert.Equal(replaced ? "second" : "first", Encoding.UTF8.GetString(referral.Request.Span));
        Assert.Equal(replaced ? ReferralState.Queued : ReferralState.NeedsHuman, referral.State);
        Assert.Equal(("T0", 0), (referral.Tier, referral.PriorityLane));
        Assert.Equal(replaced, await Store.Outbox.ClaimAsync(Sample.Hospital, Now.AddDays(9), Lease, Stop) is not null);
    }

    [Fact]
    public async Task RequestThatACorrectionMadeWrong_IsNotSentAgainByAReplay()
    {
        await SaveAsync(1, Sample.Referral());
        await AttemptAsync("timed-out", Again);
        await SaveAsync(2, Sample.Referral(request: "second"));

        Assert.False(await Store.Referrals.ReplayAsync(Everything, "referral-1", "operator", Now, Stop));
    }

    [Fact]
    public async Task AttemptUnderWayThatFailsAfterACorrection_DoesNotQueueTheOldBytesAgain()
    {
        await SaveAsync(1, Sample.Referral());
        var claim = await ClaimAsync(Now);
        await SaveAsync(2, Sample.Referral(request: "second"));

        Assert.True(await Store.Outbox.RecordAsync(claim, new AttemptRecord(Now, 503, "unavailable", null, 10), Again, Now, Stop));

        Assert.Equal(ReferralState.NeedsHuman, (await FindAsync()).State);
        Assert.Equal("not-delivered", await LastEventAsync());
        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now.AddDays(9), Lease, Stop));
    }

    [Fact]
    public async Task AttemptUnderWayThatIsDeliveredAfterACorrection_KeepsTheProofAndThePersonsTask()
    {
        await SaveAsync(1, Sample.Referral());
        var claim = await ClaimAsync(Now);
        await SaveAsync(2, null);

        await Store.Outbox.RecordAsync(claim, new AttemptRecord(Now, 200, "delivered", null, 10), new SendDecision.Delivered("[1]"), Now, Stop);

        var referral = await FindAsync();
        Assert.Equal((ReferralState.WithdrawnAfterSending, "[1]"), (referral.State, referral.Locations));
    }

    [Fact]
    public async Task DeliveredReferralThatIsCorrected_StaysDelivered()
    {
        await SaveAsync(1, Sample.Referral());
        await AttemptAsync("delivered", new SendDecision.Delivered("[]"));

        Assert.Equal(ReferralPlacement.AlreadyTried, await SaveAsync(2, Sample.Referral(request: "second")));

        Assert.Equal(ReferralState.Delivered, (await FindAsync()).State);
        Assert.Equal("corrected-after-sending", await LastEventAsync());
    }

    [Theory]
    [InlineData(true, ReferralPlacement.UpdateQueued, "Update of first")]
    [InlineData(false, ReferralPlacement.ReplacementQueued, "Replacement of first")]
    public async Task CorrectionForAReceiverThatWasVerified_WaitsToFollowTheReferral(bool updates, object placed, string request)
    {
        await Store.Destinations.VerifiedAsync(Sample.Hospital, ExchangeMode.Transaction, updates, null, "operator", Now, Stop);
        await SaveAsync(1, Sample.Referral());
        await AttemptAsync("delivered", new SendDecision.Delivered("[]"));

        Assert.Equal((ReferralPlacement)placed, await FollowAsync(2, Sample.Referral(request: "second")));

        Assert.Equal("correction-queued", await LastEventAsync());
        var claim = await ClaimAsync(Now.AddMinutes(5));
        Assert.Equal((request, 2), (Encoding.UTF8.GetString(claim.Request.Span), claim.Correction));
        await Store.Outbox.RecordAsync(claim, new AttemptRecord(Now, 200, "delivered", null, 10), new SendDecision.Delivered("[]"), Now, Stop);
        Assert.Equal((ReferralState.Delivered, "correction-delivered"), ((await FindAsync()).State, await LastEventAsync()));
    }

    [Fact]
    public async Task CorrectionWhileAnAttemptIsUnderWay_IsSentAfterItWhateverItsEnd()
    {
        await Store.Destinations.VerifiedAsync(Sample.Hospital, ExchangeMode.Transaction, updates: true, null, "operator", Now, Stop);
        await SaveAsync(1, Sample.Referral());
        var underWay = await ClaimAsync(Now);
        await FollowAsync(2, Sample.Referral(request: "second"));
        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now.AddSeconds(1), Lease, Stop));

        await Store.Outbox.RecordAsync(underWay, new AttemptRecord(Now, 200, "delivered", null, 10), new SendDecision.Delivered("[1]"), Now, Stop);

        Assert.Equal((ReferralState.Queued, "[1]"), ((await FindAsync()).State, (await FindAsync()).Locations));
        Assert.Equal("Update of first", Encoding.UTF8.GetString((await ClaimAsync(Now.AddSeconds(1))).Request.Span));
    }

    [Fact]
    public async Task WithdrawalForAReceiverThatWasVerified_IsSentAndStillWaitsForAPerson()
    {
        await Store.Destinations.VerifiedAsync(Sample.Hospital, ExchangeMode.Transaction, updates: true, null, "operator", Now, Stop);
        await SaveAsync(1, Sample.Referral());
        await AttemptAsync("delivered", new SendDecision.Delivered("[]"));

        Assert.Equal(ReferralPlacement.WithdrawalQueued, await FollowAsync(2, null));

        var claim = await ClaimAsync(Now.AddMinutes(5));
        await Store.Outbox.RecordAsync(claim, new AttemptRecord(Now, 200, "delivered", null, 10), new SendDecision.Delivered("[]"), Now, Stop);
        Assert.Equal(ReferralState.WithdrawnAfterSending, (await FindAsync()).State);
    }

    private async Task<ReferralPlacement> FollowAsync(int revision, OutgoingReferral? referral)
    {
        var outcome = await Store.Encounters.SaveAsync(
            Sample.Encounter(revision: revision, content: $"content {revision}", referral: referral, resources: [Sample.Procedure("a", null)]) with
            {
                CorrectionOf = (earlier, way) => new Correction(
                    Encoding.UTF8.GetBytes($"{way} of {Encoding.UTF8.GetString(earlier.Span)}"), "correction", $"key {revision}", way == CorrectionWay.Replacement ? "task-2" : null),
            },
            Stop);
        return Assert.IsType<SaveOutcome.Saved>(outcome).Referral;
    }

    [Fact]
    public async Task CorrectionThatCouldNotBeMadeARecord_StopsTheReferralForAPersonAndRetiresNothing()
    {
        await SaveAsync(1, Sample.Referral());

        var outcome = await Store.Encounters.SaveAsync(Sample.Encounter(revision: 2, content: "second", resources: []), Stop);

        Assert.Equal(ReferralPlacement.StoppedByQuarantine, Assert.IsType<SaveOutcome.Saved>(outcome).Referral);
        Assert.Equal(ReferralState.NeedsHuman, (await FindAsync()).State);
        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now.AddDays(9), Lease, Stop));
        var task = (Hl7.Fhir.Model.Task)(await Store.Resources.ReadAsync(Everything, "Task", "task-1", Stop))!.Parse();
        Assert.Equal(TaskStatus.Requested, task.Status);
    }

    [Fact]
    public async Task OtherDestinationBeforeAnyClaim_IsWhereItGoes()
    {
        await SaveAsync(1, Sample.Referral());

        await SaveAsync(2, Sample.Referral(destination: "eastmoor-ent", request: "second"));

        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now, Lease, Stop));
        Assert.NotNull(await Store.Outbox.ClaimAsync("eastmoor-ent", Now, Lease, Stop));
    }

    private async Task<ReferralPlacement> SaveAsync(int revision, OutgoingReferral? referral)
    {
        var outcome = await Store.Encounters.SaveAsync(
            Sample.Encounter(revision: revision, content: $"revision {revision}", referral: referral, resources: referral is null
                ? [Sample.Procedure("a", null)]
                : [Sample.Procedure("a", null), Sample.Task("task-1", TaskStatus.Requested)]),
            Stop);
        return Assert.IsType<SaveOutcome.Saved>(outcome).Referral;
    }

    private async Task AttemptAsync(string outcome, SendDecision decision) =>
        await Store.Outbox.RecordAsync(await ClaimAsync(Now), new AttemptRecord(Now, null, outcome, null, 10), decision, Now, Stop);

    private async Task<StoredReferral> FindAsync() =>
        await Store.Referrals.FindAsync(Everything, "referral-1", Stop) ?? throw new InvalidOperationException("Not stored.");

    private async Task<string> LastEventAsync() => (await Store.Referrals.TimelineAsync(Everything, "referral-1", Stop))[^1].Kind;

    private async Task<ClaimedSend> ClaimAsync(DateTimeOffset now) =>
        await Store.Outbox.ClaimAsync(Sample.Hospital, now, Lease, Stop) ?? throw new InvalidOperationException("Nothing to claim.");
}
