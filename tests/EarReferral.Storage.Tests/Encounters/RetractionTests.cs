using System.Text;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Sending;
using EarReferral.Storage.Tests.Databases;
using Hl7.Fhir.Model;
using FhirTask = Hl7.Fhir.Model.Task;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Storage.Tests.Encounters;

public sealed class RetractionOnSqliteTests() : RetractionTests(DatabaseKind.Sqlite);

public sealed class RetractionOnPostgreSqlTests() : RetractionTests(DatabaseKind.PostgreSql);

/// <summary>A retraction is the last revision. Statuses: FHIR R4, entered-in-error of each type.</summary>
public abstract class RetractionTests(DatabaseKind kind) : StoreContract(kind)
{
    private static readonly DateTimeOffset Now = Sample.Received.AddHours(1);

    [Fact]
    public async Task Everything_IsMarkedAsEnteredInErrorAndNamedByTheProvenance()
    {
        await SaveAsync(Sample.Encounter(referral: Sample.Referral(), resources:
        [
            new Encounter { Id = "visit", Status = Encounter.EncounterStatus.Finished, Class = new Coding("http://terminology.hl7.org/CodeSystem/v3-ActCode", "AMB") },
            Sample.Patient("p1", "9990000018"),
            Sample.Procedure("right", new FhirDateTime("2024-03-10")),
            Sample.Task("task-1", FhirTask.TaskStatus.Completed),
        ]));

        Assert.IsType<SaveOutcome.Saved>(await SaveAsync(Retracting()));

        Assert.Equal(Encounter.EncounterStatus.EnteredInError, (await ReadAsync<Encounter>("visit")).Status);
        Assert.Equal(EventStatus.EnteredInError, (await ReadAsync<Procedure>("right")).Status);
        Assert.Equal(FhirTask.TaskStatus.EnteredInError, (await ReadAsync<FhirTask>("task-1")).Status);
        Assert.Equal("1", (await ReadAsync<Patient>("p1")).Meta!.VersionId);
        Assert.Equal(
            ["Encounter/visit", "Procedure/right", "Task/task-1"],
            (await ReadAsync<Provenance>("why")).Target.Select(target => target.Reference).Order());
        var before = (Procedure)(await Store.Resources.ReadVersionAsync(Everything, "Procedure", "right", 1, Stop))!.Parse();
        Assert.Equal(EventStatus.Completed, before.Status);
    }

    [Theory]
    [InlineData("none", ReferralPlacement.Withdrawn, false, "nothing was sent, so nobody has to be told")]
    [InlineData("timed-out", ReferralPlacement.WithdrawnAfterSending, false, "the receiver may have it; when is not confirmed")]
    [InlineData("delivered", ReferralPlacement.WithdrawnAfterSending, true, "the receiver has it")]
    public async Task Receipt_IsToldWhoHasTheOldContent(string attempt, ReferralPlacement placement, bool confirmed, string reason)
    {
        await SaveAsync(Sample.Encounter(referral: Sample.Referral(), resources: [Sample.Procedure("right", null)]));
        if (attempt != "none")
        {
            var claim = await Store.Outbox.ClaimAsync(Sample.Hospital, Now, TimeSpan.FromMinutes(2), Stop);
            await Store.Outbox.RecordAsync(
                claim!, new AttemptRecord(Now, null, attempt, null, 5), confirmed ? new SendDecision.Delivered("[]") : new SendDecision.RetryAt(Now.AddMinutes(1)), Now, Stop);
        }

        EarlierContent? told = null;
        var saved = Assert.IsType<SaveOutcome.Saved>(await SaveAsync(Retracting() with { ReceiptAbout = earlier => Tell(earlier, out told) }));

        Assert.True(saved.Referral == placement, reason);
        Assert.Equal(attempt != "none", told!.Receiver is not null);
        Assert.Equal(confirmed ? Now : null, told.Receiver?.DeliveredAt);
        Assert.Equal([Sample.Practice], told.Practices);
        Assert.Empty(told.Reads);
        Assert.Equal("written last", Encoding.UTF8.GetString((await Store.Encounters.FindAsync(Everything, saved.EncounterKey, Stop))!.Receipt.Span));
        Assert.Null(await Store.Outbox.ClaimAsync(Sample.Hospital, Now.AddDays(9), TimeSpan.FromMinutes(2), Stop));
    }

    [Fact]
    public async Task NothingFollows()
    {
        await SaveAsync(Sample.Encounter(resources: [Sample.Procedure("right", null)]));
        await SaveAsync(Retracting());

        Assert.IsType<SaveOutcome.AlreadyStored>(await SaveAsync(Retracting()));
        Assert.IsType<SaveOutcome.Retracted>(await SaveAsync(Retracting() with { ContentSha256 = "another retraction" }));
        Assert.IsType<SaveOutcome.Retracted>(await SaveAsync(Sample.Encounter(revision: 2, content: "late correction", resources: [Sample.Procedure("right", null)])));
        Assert.IsType<SaveOutcome.Retracted>(await SaveAsync(Sample.Encounter(revision: 3, content: "next", resources: [Sample.Procedure("right", null)])));
        Assert.True((await Store.Encounters.FindAsync(Everything, Sample.Encounter().EncounterKey, Stop))!.IsRetracted);
    }

    private static EncounterRevision Retracting() => Sample.Encounter(revision: 2, content: "retraction") with
    {
        State = StoredEncounter.Retracted,
        Retraction = new Provenance { Id = "why", Recorded = Now, Agent = [new Provenance.AgentComponent { Who = new ResourceReference { Display = "Morwenna Tal" } }] },
    };

    private static ReadOnlyMemory<byte> Tell(EarlierContent earlier, out EarlierContent told)
    {
        told = earlier;
        return "written last"u8.ToArray();
    }

    private Task<SaveOutcome> SaveAsync(EncounterRevision revision) => Store.Encounters.SaveAsync(revision, Stop);

    private async Task<T> ReadAsync<T>(string id)
        where T : Resource => (T)(await Store.Resources.ReadAsync(Everything, typeof(T).Name, id, Stop))!.Parse();
}
