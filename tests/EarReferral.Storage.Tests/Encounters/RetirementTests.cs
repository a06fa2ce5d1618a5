using EarReferral.Storage.Referrals;
using EarReferral.Storage.Tests.Databases;
using Hl7.Fhir.Model;
using FhirTask = Hl7.Fhir.Model.Task;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Storage.Tests.Encounters;

public sealed class RetirementOnSqliteTests() : RetirementTests(DatabaseKind.Sqlite);

public sealed class RetirementOnPostgreSqlTests() : RetirementTests(DatabaseKind.PostgreSql);

/// <summary>What a correction no longer says must not stay current. Statuses: FHIR R4; Condition without clinicalStatus: con-5.</summary>
public abstract class RetirementTests(DatabaseKind kind) : StoreContract(kind)
{
    [Fact]
    public async Task WrongEarCorrected_LeavesNoFindingOfTheWrongEarCurrent()
    {
        await SaveAsync(1, [
            new Encounter { Id = "visit", Status = Encounter.EncounterStatus.Finished, Class = new Coding("http://terminology.hl7.org/CodeSystem/v3-ActCode", "AMB") },
            Sample.Patient("p1", "9990000018"),
            Finding("left-wax"),
            Sample.Procedure("left", new FhirDateTime("2024-03-10")),
            new Media { Id = "left-photo", Status = EventStatus.Completed, Content = new Attachment { Title = "left ear" } },
            new Consent { Id = "agreed", Status = Consent.ConsentState.Active, Scope = new CodeableConcept { Text = "privacy" }, Category = [new CodeableConcept { Text = "pictures" }] },
            new Composition
            {
                Id = "left-summary",
                Status = CompositionStatus.Final,
                Type = new CodeableConcept { Text = "Summary" },
                Date = "2024-03-10",
                Author = [new ResourceReference("Practitioner/c1")],
                Title = "Summary",
            },
            new Condition
            {
                Id = "left-problem",
                Subject = new ResourceReference("Patient/p1"),
                ClinicalStatus = new CodeableConcept("http://terminology.hl7.org/CodeSystem/condition-clinical", "active"),
                VerificationStatus = new CodeableConcept("http://terminology.hl7.org/CodeSystem/condition-ver-status", "unconfirmed"),
            },
        ]);

        await SaveAsync(2, [
            Sample.Patient("p1", "9990000018"),
            Finding("right-wax"),
            Sample.Procedure("right", new FhirDateTime("2024-03-10")),
        ]);

        Assert.Equal(ObservationStatus.EnteredInError, (await ReadAsync<Observation>("left-wax")).Status);
        Assert.Equal(ObservationStatus.Final, (await ReadAsync<Observation>("right-wax")).Status);
        Assert.Equal(EventStatus.EnteredInError, (await ReadAsync<Procedure>("left")).Status);
        Assert.Equal(EventStatus.EnteredInError, (await ReadAsync<Media>("left-photo")).Status);
        Assert.Equal(Consent.ConsentState.EnteredInError, (await ReadAsync<Consent>("agreed")).Status);
        Assert.Equal(CompositionStatus.EnteredInError, (await ReadAsync<Composition>("left-summary")).Status);
        var condition = await ReadAsync<Condition>("left-problem");
        Assert.Null(condition.ClinicalStatus);
        Assert.Equal("entered-in-error", condition.VerificationStatus!.Coding.Single().Code);
        Assert.Equal("2", condition.Meta!.VersionId);
        Assert.Equal(Encounter.EncounterStatus.Finished, (await ReadAsync<Encounter>("visit")).Status);
        var before = (Observation)(await Store.Resources.ReadVersionAsync(Everything, "Observation", "left-wax", 1, Stop))!.Parse();
        Assert.Equal(ObservationStatus.Final, before.Status);
    }

    [Fact]
    public async Task FurtherCorrection_RetiresNothingTwice()
    {
        await SaveAsync(1, [Finding("left-wax")]);
        await SaveAsync(2, [Finding("right-wax")]);
        await SaveAsync(3, [Finding("right-wax", ObservationStatus.Amended)]);

        Assert.Equal(2, (await Store.Resources.HistoryAsync(Everything, "Observation", "left-wax", Stop)).Count);
    }

    [Fact]
    public async Task OtherEncounterOfThePatient_KeepsItsRecord()
    {
        await SaveAsync(1, [Finding("first-visit")]);
        var second = Sample.Encounter(2, resources: [Finding("second-visit")]) with
        {
            PatientKey = Sample.Encounter().PatientKey,
        };
        await Store.Encounters.SaveAsync(second, Stop);

        await Store.Encounters.SaveAsync(second with { Revision = 2, ContentSha256 = "second", Resources = [Sample.Procedure("b", null)] }, Stop);

        Assert.Equal(ObservationStatus.Final, (await ReadAsync<Observation>("first-visit")).Status);
        Assert.Equal(ObservationStatus.EnteredInError, (await ReadAsync<Observation>("second-visit")).Status);
    }

    [Fact]
    public async Task ReferralNoLongerNeeded_IsRevokedAndItsTaskCancelled()
    {
        await SaveWithReferralAsync();

        await SaveAsync(2, [Sample.Procedure("a", null)]);

        Assert.Equal(RequestStatus.Revoked, (await ReadAsync<ServiceRequest>("referral-1")).Status);
        Assert.Equal(FhirTask.TaskStatus.Cancelled, (await ReadAsync<FhirTask>("task-1")).Status);
        Assert.Equal("cancelled", (await Store.Referrals.FindAsync(Everything, "referral-1", Stop))!.TaskStatus);
    }

    [Fact]
    public async Task TaskThatTheReceiverEnded_StaysAsReported()
    {
        await SaveWithReferralAsync();
        await Store.Referrals.ApplyTaskUpdateAsync(
            Everything, "task-1", 1, Sample.Task("task-1", FhirTask.TaskStatus.Completed), "completed", null,
            new ReferralEvent(Sample.Received.AddHours(1), "task-updated", "ent"), Stop);

        await SaveAsync(2, [Sample.Procedure("a", null)]);

        Assert.Equal(FhirTask.TaskStatus.Completed, (await ReadAsync<FhirTask>("task-1")).Status);
    }

    private static Observation Finding(string id, ObservationStatus status = ObservationStatus.Final) =>
        new() { Id = id, Status = status, Code = new CodeableConcept { Text = "Wax" } };

    private async Task SaveWithReferralAsync() => await Store.Encounters.SaveAsync(
        Sample.Encounter(referral: Sample.Referral(), resources:
        [
            new ServiceRequest
            {
                Id = "referral-1",
                Status = RequestStatus.Active,
                Intent = RequestIntent.Order,
                Subject = new ResourceReference("Patient/p1"),
            },
            Sample.Task("task-1", FhirTask.TaskStatus.Requested),
        ]),
        Stop);

    private async Task SaveAsync(int revision, IReadOnlyList<Resource> resources) =>
        await Store.Encounters.SaveAsync(Sample.Encounter(revision: revision, content: $"revision {revision}", resources: resources), Stop);

    private async Task<T> ReadAsync<T>(string id)
        where T : Resource => (T)(await Store.Resources.ReadAsync(Everything, typeof(T).Name, id, Stop))!.Parse();
}
