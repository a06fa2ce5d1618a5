using System.Text;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Refusals;
using EarReferral.Storage.Tests.Databases;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Storage.Tests.Referrals;

public sealed class ReferralStoreOnSqliteTests() : ReferralStoreTests(DatabaseKind.Sqlite);

public sealed class ReferralStoreOnPostgreSqlTests() : ReferralStoreTests(DatabaseKind.PostgreSql);

public abstract class ReferralStoreTests(DatabaseKind kind) : StoreContract(kind)
{
    private static readonly Reach Hospital = new Reach.Destination(Sample.Hospital);
    private static readonly DateTimeOffset Later = Sample.Received.AddDays(1);

    [Fact]
    public async Task TaskUpdate_WritesVersionStateTimelineAndAuditTogether()
    {
        await SaveAsync(1);

        var outcome = await ApplyAsync(Hospital, expectedVersion: 1);

        Assert.Equal(2, Assert.IsType<TaskUpdateOutcome.Applied>(outcome).Version);
        var referral = await Store.Referrals.FindByTaskAsync(Hospital, "task-1", Stop);
        Assert.Equal(("accepted", "accepted", Later), (referral!.TaskStatus, referral.BusinessStatus, referral.ChangedAt));
        var task = (Hl7.Fhir.Model.Task)(await Store.Resources.ReadAsync(Hospital, "Task", "task-1", Stop))!.Parse();
        Assert.Equal(Hl7.Fhir.Model.Task.TaskStatus.Accepted, task.Status);
        var timeline = await Store.Referrals.TimelineAsync(Hospital, "referral-1", Stop);
        Assert.Equal("accepted", timeline[^1].TaskStatus);
        var audit = (await Store.Audit.ListAsync(Everything, null, 10, Stop)).Items;
        Assert.Equal(("Task", "task-1", "ent-client"), (audit[^1].ResourceType, audit[^1].ResourceId, audit[^1].Actor));
    }

    [Fact]
    public async Task TaskUpdateAgainstAnOlderVersion_IsStaleAndChangesNothing()
    {
        await SaveAsync(1);
        await ApplyAsync(Hospital, expectedVersion: 1);

        var outcome = await ApplyAsync(Hospital, expectedVersion: 1, status: "rejected");

        Assert.Equal(2, Assert.IsType<TaskUpdateOutcome.Stale>(outcome).CurrentVersion);
        Assert.Equal("accepted", (await Store.Referrals.FindAsync(Hospital, "referral-1", Stop))!.TaskStatus);
        Assert.Equal(2, (await Store.Referrals.TimelineAsync(Hospital, "referral-1", Stop)).Count);
    }

    [Fact]
    public async Task TwoTaskUpdatesAtOnce_ApplyOne()
    {
        await SaveAsync(1);

        var outcomes = await Task.WhenAll(Enumerable.Range(0, 4).Select(number => Task.Run(
            () => ApplyAsync(Hospital, expectedVersion: 1, description: $"update {number}"), Stop)));

        Assert.Single(outcomes.OfType<TaskUpdateOutcome.Applied>());
        Assert.Equal(3, outcomes.OfType<TaskUpdateOutcome.Stale>().Count());
    }

    [Fact]
    public async Task TaskOfAnotherDestination_IsNotFound()
    {
        await SaveAsync(1);

        Assert.IsType<TaskUpdateOutcome.NotFound>(await ApplyAsync(new Reach.Destination("eastmoor-ent"), expectedVersion: 1));
        Assert.Null(await Store.Referrals.FindAsync(new Reach.Destination("eastmoor-ent"), "referral-1", Stop));
        Assert.Empty(await Store.Referrals.TimelineAsync(new Reach.Destination("eastmoor-ent"), "referral-1", Stop));
        Assert.False(await Store.Referrals.AppendEventAsync(
            new Reach.Destination("eastmoor-ent"), "referral-1", new ReferralEvent(Later, "note", "ent-client"), Stop));
    }

    [Fact]
    public async Task List_FollowsTheTimeOfChange()
    {
        await SaveAsync(1);
        await SaveAsync(2);
        await SaveAsync(3);
        await ApplyAsync(Hospital, expectedVersion: 1);

        var first = await Store.Referrals.ListAsync(Hospital, null, 2, Stop);
        var second = await Store.Referrals.ListAsync(Hospital, first.Next, 2, Stop);

        Assert.Equal(["referral-2", "referral-3"], first.Items.Select(referral => referral.ReferralId));
        Assert.Equal(["referral-1"], second.Items.Select(referral => referral.ReferralId));
        Assert.Null(second.Next);
        Assert.Empty((await Store.Referrals.ListAsync(new Reach.Practice("OTH01"), null, 2, Stop)).Items);
    }

    [Fact]
    public async Task UpdateThatWasNotApplied_IsKeptAsReceived()
    {
        await Store.Referrals.QuarantineAsync(
            new QuarantinedUpdate(Later, "ent-client", "unknown", "unknown-task", "{\"resourceType\":\"Task\"}"u8.ToArray()), Stop);

        var kept = Assert.Single((await Store.Referrals.QuarantinedAsync(new Reach.Everything("review"), null, 10, Stop)).Items);
        Assert.Equal("{\"resourceType\":\"Task\"}", Encoding.UTF8.GetString(kept.Body.Span));
    }

    [Fact]
    public async Task Refusal_IsSeenByItsClinicOnly()
    {
        await Store.Refusals.AppendAsync(
            new Refusal(Sample.Clinic, "client", "V-9", Later, ["side-missing", "unknown-member"], "T1"), Stop);

        var seen = Assert.Single((await Store.Refusals.ListAsync(new Reach.Clinic(Sample.Clinic), null, 10, Stop)).Items);
        Assert.Equal(["side-missing", "unknown-member"], seen.ProblemIds);
        Assert.Equal("T1", seen.ProvisionalTier);
        Assert.Empty((await Store.Refusals.ListAsync(new Reach.Clinic("quayside"), null, 10, Stop)).Items);
        Assert.Empty((await Store.Refusals.ListAsync(new Reach.Practice(Sample.Practice), null, 10, Stop)).Items);
    }

    private Task<SaveOutcome> SaveAsync(int number) => Store.Encounters.SaveAsync(
        Sample.Encounter(number, referral: Sample.Referral(number), resources:
        [
            Sample.Task($"task-{number}", Hl7.Fhir.Model.Task.TaskStatus.Requested),
        ]),
        Stop);

    private Task<TaskUpdateOutcome> ApplyAsync(
        Reach reach, int expectedVersion, string status = "accepted", string? description = null)
    {
        var task = Sample.Task("task-1", Hl7.Fhir.Model.Task.TaskStatus.Accepted);
        task.Description = description;
        return Store.Referrals.ApplyTaskUpdateAsync(
            reach, "task-1", expectedVersion, task, status, status, new ReferralEvent(Later, "task-updated", "ent-client"), Stop);
    }
}
