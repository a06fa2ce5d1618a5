using System.Text;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Tests.Databases;
using Hl7.Fhir.Model;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Tests.Encounters;

public sealed class EncounterStoreOnSqliteTests() : EncounterStoreTests(DatabaseKind.Sqlite);

public sealed class EncounterStoreOnPostgreSqlTests() : EncounterStoreTests(DatabaseKind.PostgreSql);

public abstract class EncounterStoreTests(DatabaseKind kind) : StoreContract(kind)
{
    [Fact]
    public async System.Threading.Tasks.Task SamePostTwice_GetsTheReceiptOfTheFirst()
    {
        var first = Sample.Encounter();
        var repeat = first with { Receipt = "another receipt"u8.ToArray() };

        var saved = await Store.Encounters.SaveAsync(first, Stop);
        var again = await Store.Encounters.SaveAsync(repeat, Stop);

        Assert.IsType<SaveOutcome.Saved>(saved);
        var stored = Assert.IsType<SaveOutcome.AlreadyStored>(again);
        Assert.Equal("receipt first", Encoding.UTF8.GetString(stored.Receipt.Span));
        Assert.Equal(first.EncounterKey, stored.EncounterKey);
    }

    [Fact]
    public async System.Threading.Tasks.Task TenPostsAtOnce_StoreOneRevisionWithOneReferral()
    {
        var post = Sample.Encounter(
            referral: Sample.Referral(), resources: [Sample.Procedure("a", new FhirDateTime("2024-03-10"))]);

        var outcomes = await System.Threading.Tasks.Task.WhenAll(
            Enumerable.Range(0, 10).Select(_ => System.Threading.Tasks.Task.Run(() => Store.Encounters.SaveAsync(post, Stop), Stop)));

        Assert.Single(outcomes.OfType<SaveOutcome.Saved>());
        Assert.Equal(9, outcomes.OfType<SaveOutcome.AlreadyStored>().Count());
        Assert.Single((await Store.Encounters.ListAsync(Everything, null, 20, Stop)).Items);
        Assert.Single((await Store.Referrals.ListAsync(Everything, null, 20, Stop)).Items);
        Assert.Single((await Store.Audit.ListAsync(Everything, null, 20, Stop)).Items);
    }

    [Fact]
    public async System.Threading.Tasks.Task OtherContentUnderTheCurrentRevision_Differs()
    {
        await Store.Encounters.SaveAsync(Sample.Encounter(content: "first"), Stop);

        var outcome = await Store.Encounters.SaveAsync(Sample.Encounter(content: "other"), Stop);

        Assert.Equal("first", Assert.IsType<SaveOutcome.ContentDiffers>(outcome).StoredSha256);
    }

    [Fact]
    public async System.Threading.Tasks.Task OtherContentUnderAnOlderRevision_IsBehind()
    {
        await Store.Encounters.SaveAsync(Sample.Encounter(), Stop);
        await Store.Encounters.SaveAsync(Sample.Encounter(revision: 2, content: "second"), Stop);

        var outcome = await Store.Encounters.SaveAsync(Sample.Encounter(content: "other"), Stop);

        Assert.Equal(2, Assert.IsType<SaveOutcome.RevisionBehind>(outcome).Current);
    }

    [Theory]
    [InlineData(0, "revisions begin at 1")]
    [InlineData(2, "revision 1 never came")]
    [InlineData(7, "six are missing")]
    public async System.Threading.Tasks.Task SkippedRevision_IsAGapAndNothingIsKept(int revision, string reason)
    {
        var outcome = await Store.Encounters.SaveAsync(Sample.Encounter(revision: revision), Stop);

        Assert.True(outcome is SaveOutcome.RevisionGap { Expected: 1 }, reason);
        Assert.Empty((await Store.Encounters.ListAsync(Everything, null, 20, Stop)).Items);
    }

    [Fact]
    public async System.Threading.Tasks.Task SameEncounterNumberAtTwoClinics_AreTwoEncounters()
    {
        await Store.Encounters.SaveAsync(Sample.Encounter(), Stop);

        var other = await Store.Encounters.SaveAsync(Sample.Encounter(clinic: "quayside"), Stop);

        Assert.IsType<SaveOutcome.Saved>(other);
    }

    [Fact]
    public async System.Threading.Tasks.Task InsertThatFailsAtTheLastTable_LeavesNothingOfThePost()
    {
        await Store.Encounters.SaveAsync(Sample.Encounter(1, referral: Sample.Referral(1)), Stop);
        var clashing = Sample.Referral(2) with { IdempotencyKey = Sample.Referral(1).IdempotencyKey };
        var second = Sample.Encounter(2, referral: clashing, resources: [Sample.Procedure("b", null)]) with
        {
            NhsNumber = new("9990000018", true, "1957-04-02"),
        };

        await Assert.ThrowsAsync<DbUpdateException>(() => Store.Encounters.SaveAsync(second, Stop));

        Assert.Null(await Store.Encounters.FindAsync(Everything, second.EncounterKey, Stop));
        Assert.Null(await Store.Resources.ReadAsync(Everything, "Procedure", "b", Stop));
        Assert.Null(await Store.Referrals.FindAsync(Everything, "referral-2", Stop));
        Assert.Single((await Store.Audit.ListAsync(Everything, null, 20, Stop)).Items);
        await using var store = Store.Database.Open();
        Assert.Equal(0, await store.PatientLinks.CountAsync(Stop));
        Assert.Equal(1, await store.Outbox.CountAsync(Stop));
    }

    [Fact]
    public async System.Threading.Tasks.Task Correction_MakesANewVersionOnlyOfWhatChanged()
    {
        Resource[] before = [Sample.Procedure("a", new FhirDateTime("2024-03-10")), Sample.Procedure("b", new FhirDateTime("2024-03-10"))];
        Resource[] after = [Sample.Procedure("a", new FhirDateTime("2024-03-10")), Sample.Procedure("b", new FhirDateTime("2024-03-11"))];
        await Store.Encounters.SaveAsync(Sample.Encounter(resources: before), Stop);

        await Store.Encounters.SaveAsync(Sample.Encounter(revision: 2, content: "second", resources: after), Stop);

        Assert.Equal(1, (await Store.Resources.ReadAsync(Everything, "Procedure", "a", Stop))!.Version);
        var changed = await Store.Resources.ReadAsync(Everything, "Procedure", "b", Stop);
        Assert.Equal(2, changed!.Version);
        Assert.Equal("2", changed.Parse().Meta!.VersionId);
        var history = await Store.Resources.HistoryAsync(Everything, "Procedure", "b", Stop);
        Assert.Equal([2, 1], history.Select(version => version.Version));
        var first = (Procedure)(await Store.Resources.ReadVersionAsync(Everything, "Procedure", "b", 1, Stop))!.Parse();
        Assert.Equal("2024-03-10", ((FhirDateTime)first.Performed!).Value);
    }

    [Fact]
    public async System.Threading.Tasks.Task CorrectionBeforeTheFirstAttempt_ReplacesTheRequest()
    {
        await Store.Encounters.SaveAsync(Sample.Encounter(referral: Sample.Referral(lane: 3)), Stop);

        var outcome = await Store.Encounters.SaveAsync(
            Sample.Encounter(revision: 2, content: "second", referral: Sample.Referral(lane: 0, request: "second")), Stop);

        Assert.Equal(ReferralPlacement.ReplacedBeforeSending, Assert.IsType<SaveOutcome.Saved>(outcome).Referral);
        var claim = await Store.Outbox.ClaimAsync(Sample.Hospital, Sample.Received.AddHours(1), TimeSpan.FromMinutes(1), Stop);
        Assert.Equal("second", Encoding.UTF8.GetString(claim!.Request.Span));
        Assert.Equal(0, claim.PriorityLane);
    }

    [Fact]
    public async System.Threading.Tasks.Task CorrectionAfterTheFirstAttempt_LeavesRequestAndTaskAndSaysSo()
    {
        var requested = Sample.Task("task-1", Hl7.Fhir.Model.Task.TaskStatus.Requested);
        var accepted = Sample.Task("task-1", Hl7.Fhir.Model.Task.TaskStatus.Accepted);
        await Store.Encounters.SaveAsync(Sample.Encounter(referral: Sample.Referral(), resources: [requested]), Stop);
        await Store.Outbox.ClaimAsync(Sample.Hospital, Sample.Received.AddHours(1), TimeSpan.FromMinutes(1), Stop);
        await Store.Referrals.ApplyTaskUpdateAsync(
            new Reach.Destination(Sample.Hospital), "task-1", 1, accepted, "accepted", null, new(Sample.Received.AddHours(2), "task-updated", "ent"), Stop);

        var outcome = await Store.Encounters.SaveAsync(
            Sample.Encounter(revision: 2, content: "second", referral: Sample.Referral(request: "second"), resources: [requested]), Stop);

        Assert.Equal(ReferralPlacement.AlreadyTried, Assert.IsType<SaveOutcome.Saved>(outcome).Referral);
        var task = (Hl7.Fhir.Model.Task)(await Store.Resources.ReadAsync(Everything, "Task", "task-1", Stop))!.Parse();
        Assert.Equal(Hl7.Fhir.Model.Task.TaskStatus.Accepted, task.Status);
        var referral = await Store.Referrals.FindAsync(Everything, "referral-1", Stop);
        Assert.Equal("first", Encoding.UTF8.GetString(referral!.Request.Span));
        var timeline = await Store.Referrals.TimelineAsync(Everything, "referral-1", Stop);
        Assert.Equal("corrected-after-sending", timeline[^1].Kind);
    }

    [Fact]
    public async System.Threading.Tasks.Task IdOfAnotherClinicsResource_IsRefusedAsAFault()
    {
        await Store.Encounters.SaveAsync(Sample.Encounter(resources: [Sample.Procedure("a", null)]), Stop);

        await Assert.ThrowsAsync<InvalidOperationException>(() => Store.Encounters.SaveAsync(
            Sample.Encounter(clinic: "quayside", resources: [Sample.Procedure("a", null)]), Stop));
    }

    [Fact]
    public async System.Threading.Tasks.Task List_ShowsTheNewestRevisionOfEachAndPagesToTheEnd()
    {
        foreach (var number in Enumerable.Range(1, 5))
        {
            await Store.Encounters.SaveAsync(Sample.Encounter(number), Stop);
        }

        await Store.Encounters.SaveAsync(Sample.Encounter(2, revision: 2, content: "second"), Stop);

        var seen = new List<StoredEncounter>();
        string? cursor = null;
        do
        {
            var page = await Store.Encounters.ListAsync(new Reach.Clinic(Sample.Clinic), cursor, 2, Stop);
            seen.AddRange(page.Items);
            cursor = page.Next;
        }
        while (cursor is not null);

        Assert.Equal(["V-1", "V-3", "V-4", "V-5", "V-2"], seen.Select(encounter => encounter.ClinicEncounterId));
        Assert.Equal(2, seen[^1].Revision);
    }

    [Fact]
    public async System.Threading.Tasks.Task PatientWhoChangedPractice_IsNotShownToTheFormerOneByAnOlderRevision()
    {
        var first = Sample.Encounter(practice: "OLD01");
        await Store.Encounters.SaveAsync(first, Stop);
        await Store.Encounters.SaveAsync(Sample.Encounter(revision: 2, practice: Sample.Practice, content: "second"), Stop);

        Assert.Null(await Store.Encounters.FindAsync(new Reach.Practice("OLD01"), first.EncounterKey, Stop));
        Assert.Empty((await Store.Encounters.ListAsync(new Reach.Practice("OLD01"), null, 10, Stop)).Items);
        Assert.NotNull(await Store.Encounters.FindAsync(new Reach.Practice(Sample.Practice), first.EncounterKey, Stop));
    }
}
