using EarReferral.Storage.Audit;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Quarantine;
using EarReferral.Storage.Tests.Databases;
using Hl7.Fhir.Model;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Storage.Tests.Quarantine;

public sealed class QuarantineStoreOnSqliteTests() : QuarantineStoreTests(DatabaseKind.Sqlite);

public sealed class QuarantineStoreOnPostgreSqlTests() : QuarantineStoreTests(DatabaseKind.PostgreSql);

/// <summary>What is kept without a record, and how it becomes one.</summary>
public abstract class QuarantineStoreTests(DatabaseKind kind) : StoreContract(kind)
{
    private static readonly DateTimeOffset Later = Sample.Received.AddDays(1);
    private static readonly RecordCheck Passing = new(Later, "Perran Vose", "Mended.", Passed: true, "1.0.1", "[]"u8.ToArray());

    [Fact]
    public async Task Release_StoresRecordAndReferralOnceAndKeepsWhatItReplaced()
    {
        await KeepAsync(number: 1);

        var first = await Store.Quarantine.ReleaseAsync(Released(), Passing, Stop);
        var second = await Store.Quarantine.ReleaseAsync(Released(), Passing, Stop);

        Assert.Equal(ReferralPlacement.Queued, Assert.IsType<ReleaseOutcome.Released>(first).Referral);
        Assert.IsType<ReleaseOutcome.NotQuarantined>(second);
        Assert.Single((await Store.Referrals.ListAsync(Everything, null, 10, Stop)).Items);
        Assert.NotNull(await Store.Resources.ReadAsync(Everything, "Patient", "p1", Stop));
        var record = (await Store.Quarantine.FindAsync(Everything, Released().EncounterKey, Stop))!;
        Assert.True(record.IsReleased);
        Assert.Equal(("triaged", Sample.Received.AddMinutes(1)), (record.Encounter.State, record.Encounter.ReceivedAt));
        Assert.Equal([false, true], record.Checks.Select(check => check.Passed));
        Assert.Single((await Store.Audit.ListAsync(Everything, null, 50, Stop)).Items, entry => entry.Action == AuditAction.Release);
        Assert.Empty((await Store.Quarantine.ListAsync(Everything, null, 10, Stop)).Items);
    }

    [Fact]
    public async Task Release_IsSeenByWhoReconcilesByCursor()
    {
        await KeepAsync(number: 1);
        await Store.Encounters.SaveAsync(Sample.Encounter(number: 2), Stop);
        await Store.Encounters.SaveAsync(Sample.Encounter(number: 3), Stop);
        var page = await Store.Encounters.ListAsync(Everything, null, 2, Stop);

        await Store.Quarantine.ReleaseAsync(Released(), Passing, Stop);
        await Store.Encounters.SaveAsync(Sample.Encounter(number: 4), Stop);

        var rest = await Store.Encounters.ListAsync(Everything, page.Next, 10, Stop);
        Assert.Equal(["V-3", "V-1", "V-4"], rest.Items.Select(item => item.ClinicEncounterId));
    }

    [Fact]
    public async Task CorrectedMeanwhile_IsNotReleased()
    {
        await KeepAsync(number: 1);
        await Store.Encounters.SaveAsync(Sample.Encounter(revision: 2, content: "second", resources: [Sample.Patient("p1", "9990000018")]), Stop);

        Assert.IsType<ReleaseOutcome.NotQuarantined>(await Store.Quarantine.ReleaseAsync(Released(), Passing, Stop));
        Assert.Empty((await Store.Referrals.ListAsync(Everything, null, 10, Stop)).Items);
        Assert.False((await Store.Quarantine.FindAsync(Everything, Released().EncounterKey, Stop))!.IsReleased);
    }

    [Fact]
    public async Task LookThatReleasesNothing_IsKeptWithItsAudit()
    {
        await KeepAsync(number: 1);
        var kept = Assert.Single((await Store.Quarantine.ListAsync(Everything, null, 10, Stop)).Items);

        Assert.True(await Store.Quarantine.KeepAsync(
            kept.Encounter,
            Passing with { Passed = false, Issues = """[{"rule":"ear-prc-1"}]"""u8.ToArray() },
            new AuditEntry(Later, AuditAction.Release, AuditResult.MinorFailure, "operator", Sample.Clinic, Sample.Practice),
            Stop));

        var record = Assert.Single((await Store.Quarantine.ListAsync(Everything, null, 10, Stop)).Items);
        Assert.Equal([null, "Perran Vose"], record.Checks.Select(check => check.Person));
        Assert.Single((await Store.Audit.ListAsync(Everything, null, 50, Stop)).Items, entry => entry.Result == AuditResult.MinorFailure);
    }

    [Fact]
    public async Task Pages_ReachEveryRecordOnceAndOnlyTheOwnClinics()
    {
        await KeepAsync(number: 1);
        await KeepAsync(number: 2);
        await KeepAsync(number: 3, clinic: "other-clinic");

        var first = await Store.Quarantine.ListAsync(new Reach.Clinic(Sample.Clinic), null, 1, Stop);
        var second = await Store.Quarantine.ListAsync(new Reach.Clinic(Sample.Clinic), first.Next, 1, Stop);

        Assert.Equal(["V-1", "V-2"], first.Items.Concat(second.Items).Select(item => item.Encounter.ClinicEncounterId));
        Assert.Null(second.Next);
        Assert.Null(await Store.Quarantine.FindAsync(new Reach.Clinic("other-clinic"), first.Items[0].Encounter.EncounterKey, Stop));
    }

    private static EncounterRevision Released() => Sample.Encounter(referral: Sample.Referral(), resources: [Sample.Patient("p1", "9990000018")]) with
    {
        ReceivedAt = Later,
        Audit = [new AuditEntry(Later, AuditAction.Release, AuditResult.Success, "operator", Sample.Clinic, Sample.Practice)],
    };

    private async Task KeepAsync(int number, string clinic = Sample.Clinic) => Assert.IsType<SaveOutcome.Saved>(await Store.Encounters.SaveAsync(
        Sample.Encounter(number, clinic: clinic, resources: Array.Empty<Resource>()) with
        {
            State = StoredEncounter.Quarantined,
            FailedCheck = new RecordCheck(Sample.Received, null, null, Passed: false, "1.0.0", """[{"rule":"ear-prc-1"}]"""u8.ToArray()),
        },
        Stop));
}
