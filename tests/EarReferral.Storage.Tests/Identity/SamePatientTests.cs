using EarReferral.Storage.Encounters;
using EarReferral.Storage.Identity;
using EarReferral.Storage.Search;
using EarReferral.Storage.Tests.Databases;
using Hl7.Fhir.Model;
using Microsoft.EntityFrameworkCore;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Storage.Tests.Identity;

public sealed class SamePatientOnSqliteTests() : SamePatientTests(DatabaseKind.Sqlite);

public sealed class SamePatientOnPostgreSqlTests() : SamePatientTests(DatabaseKind.PostgreSql);

/// <summary>The rule of decision 0015, asked as a GP system asks: by NHS number.</summary>
public abstract class SamePatientTests(DatabaseKind kind) : StoreContract(kind)
{
    private const string Quayside = "quayside";
    private const string X = "9990000018";
    private const string Y = "9990000026";

    [Fact]
    public async Task SameNumberAndBirthDateAtTwoClinics_AreJoined()
    {
        await SaveAsync(new Visit(1, 1, X, "1957-04-02"));
        await SaveAsync(new Visit(1, 1, X, "1957-04-02") { Clinic = Quayside });

        AssertFound(await FindAsync(X), 0, "harbour-lane-1", "quayside-1");
        Assert.Empty(await ConflictsAsync());
    }

    [Fact]
    public async Task Twins_WithTheirOwnNumbers_AreTwoPeople()
    {
        await SaveAsync(new Visit(1, 1, X, "1957-04-02"));
        await SaveAsync(new Visit(2, 2, Y, "1957-04-02"));

        AssertFound(await FindAsync(X), 0, "harbour-lane-1");
        AssertFound(await FindAsync(Y), 0, "harbour-lane-2");
        Assert.Empty(await ConflictsAsync());
    }

    [Theory]
    [InlineData(true, true, "nothing says which of two traced ones is right", "")]
    [InlineData(false, false, "nor of two untraced ones", "")]
    [InlineData(true, false, "a slip at the other clinic does not hide a traced record", "harbour-lane-1")]
    [InlineData(false, true, "nor the other way round", "quayside-1")]
    public async Task SameNumberWithTwoBirthDates_IsWithheldAndListed(bool here, bool there, string reason, string found)
    {
        await SaveAsync(new Visit(1, 1, X, "1957-04-02") { Verified = here });
        await SaveAsync(new Visit(1, 1, X, "1975-04-02") { Clinic = Quayside, Verified = there });

        var page = await FindAsync(X);

        Assert.True(found == string.Join(' ', page.Entries.Select(entry => entry.Id)), reason);
        Assert.Equal((found.Length > 0 ? 1 : 2, found.Length > 0 ? 1 : 0), (page.Withheld, page.Total));
        Assert.Equal(page.Withheld, (await ConflictsAsync()).Count);
        Assert.All(await ConflictsAsync(), conflict => Assert.Equal(IdentityConflictKind.SharedNumber, conflict.Kind));
    }

    [Fact]
    public async Task TwoClinicsAtTheSameMoment_SeeTheClash()
    {
        await Task.WhenAll(
            Task.Run(() => SaveAsync(new Visit(1, 1, X, "1957-04-02")), Stop),
            Task.Run(() => SaveAsync(new Visit(1, 1, X, "1975-04-02") { Clinic = Quayside }), Stop));

        Assert.Equal(2, (await ConflictsAsync()).Count);
    }

    [Fact]
    public async Task Conflict_IsSeenAndCountedWithinReachOnly()
    {
        await SaveAsync(new Visit(1, 1, X, "1957-04-02"));
        await SaveAsync(new Visit(1, 1, X, "1975-04-02") { Clinic = Quayside, Practice = "OTH01" });

        Assert.Equal("p-harbour-lane-1", Assert.Single(await Store.Identities.ConflictsAsync(new Reach.Clinic(Sample.Clinic), Stop)).PatientId);
        Assert.Equal(1, (await FindAsync(X, new Reach.Practice("OTH01"))).Withheld);
        Assert.Equal(0, (await FindAsync(X, new Reach.Practice("NONE1"))).Withheld);
    }

    [Fact]
    public async Task CorrectedBirthDate_SettlesTheClashForBoth()
    {
        await SaveAsync(new Visit(1, 1, X, "1957-04-02"));
        await SaveAsync(new Visit(1, 1, X, "1975-04-02") { Clinic = Quayside });

        await SaveAsync(new Visit(1, 1, X, "1957-04-02") { Clinic = Quayside, Revision = 2 });

        Assert.Empty(await ConflictsAsync());
        AssertFound(await FindAsync(X), 0, "harbour-lane-1", "quayside-1");
    }

    [Fact]
    public async Task CorrectedNumber_IsFoundByTheNewOneAlone()
    {
        await SaveAsync(new Visit(1, 1, X, "1957-04-02"));

        await SaveAsync(new Visit(1, 1, Y, "1957-04-02") { Revision = 2 });

        Assert.Empty(await ConflictsAsync());
        AssertFound(await FindAsync(X), 0);
        AssertFound(await FindAsync(Y), 0, "harbour-lane-1");
    }

    [Fact]
    public async Task NumberNotRepeatedAtTheNextVisit_StillFindsBoth()
    {
        await SaveAsync(new Visit(1, 1, X, "1957-04-02"));
        await SaveAsync(new Visit(2, 1, null, "1957-04-02"));

        AssertFound(await FindAsync(X), 0, "harbour-lane-1", "harbour-lane-2");
    }

    [Fact]
    public async Task CorrectionWithoutTheNumber_IsNotFoundByIt()
    {
        await SaveAsync(new Visit(1, 1, X, "1957-04-02"));
        await SaveAsync(new Visit(1, 1, null, "1957-04-02") { Revision = 2 });

        AssertFound(await FindAsync(X), 0);
    }

    [Theory]
    [InlineData(Y, "1957-04-02", new[] { IdentityConflictKind.OwnNumber })]
    [InlineData(X, "1975-04-02", new[] { IdentityConflictKind.OwnBirthDate })]
    [InlineData(null, "1975-04-02", new[] { IdentityConflictKind.OwnBirthDate })]
    [InlineData(Y, "1975-04-02", new[] { IdentityConflictKind.OwnNumber, IdentityConflictKind.OwnBirthDate })]
    public async Task OnePatientIdWithOtherFactsAtTheNextVisit_IsAConflict(string? number, string birthDate, IdentityConflictKind[] kinds)
    {
        await SaveAsync(new Visit(1, 1, X, "1957-04-02"));
        await SaveAsync(new Visit(2, 1, number, birthDate));

        Assert.Equal(kinds, (await ConflictsAsync()).Select(conflict => conflict.Kind));
        AssertFound(await FindAsync(X), 1);
        AssertFound(await FindAsync(Y), number == Y ? 1 : 0);
    }

    [Fact]
    public async Task TwoPatientsSwapped_AreBothWithheldUntilRetractedAndWrittenAnew()
    {
        await SaveAsync(new Visit(1, 1, X, "1957-04-02"));
        await SaveAsync(new Visit(2, 2, Y, "1975-06-09"));
        await SaveAsync(new Visit(3, 1, Y, "1975-06-09"));
        await SaveAsync(new Visit(4, 2, X, "1957-04-02"));

        AssertFound(await FindAsync(X), 2);
        AssertFound(await FindAsync(Y), 2);

        await RetractAsync(new Visit(3, 1, null, ""));
        await RetractAsync(new Visit(4, 2, null, ""));

        // The Patient resources still show the other one's number.
        AssertFound(await FindAsync(X), 2);

        await SaveAsync(new Visit(1, 1, X, "1957-04-02") { Revision = 2 });
        await SaveAsync(new Visit(2, 2, Y, "1975-06-09") { Revision = 2 });

        Assert.Empty(await ConflictsAsync());
        AssertFound(await FindAsync(X), 0, "harbour-lane-1", "harbour-lane-3");
        AssertFound(await FindAsync(Y), 0, "harbour-lane-2", "harbour-lane-4");
    }

    [Fact]
    public async Task Link_ConfirmsTheNewestVisitUntilAnotherContradicts()
    {
        await SaveAsync(new Visit(1, 1, X, "1957-04-02"));
        await SaveAsync(new Visit(2, 1, Y, "1957-04-02"));

        Assert.Equal(IdentityOutcome.Kept, await DecideAsync("p-harbour-lane-1", linked: true));

        Assert.Empty(await ConflictsAsync());
        AssertFound(await FindAsync(X), 0);
        AssertFound(await FindAsync(Y), 0, "harbour-lane-1", "harbour-lane-2");

        await SaveAsync(new Visit(3, 1, Y, "1975-04-02"));

        Assert.Equal([IdentityConflictKind.OwnNumber, IdentityConflictKind.OwnBirthDate], (await ConflictsAsync()).Select(conflict => conflict.Kind));
        AssertFound(await FindAsync(Y), 1);
    }

    [Fact]
    public async Task Unlink_TakesTheRecordOutAndFreesTheOther()
    {
        await SaveAsync(new Visit(1, 1, X, "1957-04-02"));
        await SaveAsync(new Visit(1, 1, X, "1975-04-02") { Clinic = Quayside });

        Assert.Equal(IdentityOutcome.Kept, await DecideAsync("p-quayside-1", linked: false));

        Assert.Empty(await ConflictsAsync());
        AssertFound(await FindAsync(X), 0, "harbour-lane-1");

        Assert.Equal(IdentityOutcome.Kept, await DecideAsync("p-quayside-1", linked: true));

        AssertFound(await FindAsync(X), 1, "quayside-1");
        Assert.Equal("p-harbour-lane-1", Assert.Single(await ConflictsAsync()).PatientId);
    }

    [Fact]
    public async Task OneNumber_IsConfirmedForOneBirthDateOnly()
    {
        await SaveAsync(new Visit(1, 1, X, "1957-04-02"));
        await SaveAsync(new Visit(1, 1, X, "1975-04-02") { Clinic = Quayside });
        await DecideAsync("p-harbour-lane-1", linked: true);

        Assert.Equal(IdentityOutcome.OtherIsLinked, await DecideAsync("p-quayside-1", linked: true));

        AssertFound(await FindAsync(X), 1, "harbour-lane-1");
    }

    [Fact]
    public async Task Decision_NeedsARecordWithinReachAndANumber()
    {
        await SaveAsync(new Visit(1, 1, null, "1957-04-02"));

        Assert.Equal(IdentityOutcome.NoNumber, await DecideAsync("p-harbour-lane-1", linked: true));
        Assert.Equal(IdentityOutcome.NoNumber, await DecideAsync("p-harbour-lane-1", linked: false));
        Assert.Equal(IdentityOutcome.NotFound, await DecideAsync("p-harbour-lane-1", linked: true, new Reach.Clinic(Quayside)));
    }

    [Fact]
    public async Task Decision_IsKeptWithPersonAndReasonAndAudited()
    {
        await SaveAsync(new Visit(1, 1, X, "1957-04-02"));

        await DecideAsync("p-harbour-lane-1", linked: false);
        await DecideAsync("p-harbour-lane-1", linked: true);

        await using var store = Store.Database.Open();
        var kept = await store.IdentityDecisions.OrderBy(row => row.Holds).ToListAsync(Stop);
        Assert.Equal([(false, false, "Morwenna Tal"), (true, true, "Morwenna Tal")], kept.Select(row => (row.Linked, row.Holds, row.Person)));
        var audit = (await Store.Audit.ListAsync(Everything, null, 20, Stop)).Items.Where(entry => entry.ResourceType == "Patient").ToList();
        Assert.Equal([$"identity unlink: decision {kept[0].Id}", $"identity link: decision {kept[1].Id}"], audit.Select(entry => entry.Purpose));
        Assert.All(audit, entry => Assert.DoesNotContain("Traced", entry.Purpose!, StringComparison.Ordinal));
    }

    private static void AssertFound(SearchPage page, int withheld, params string[] procedures)
    {
        Assert.Equal(procedures, page.Entries.Select(entry => entry.Id).Order(StringComparer.Ordinal));
        Assert.Equal((procedures.Length, withheld), (page.Total, page.Withheld));
    }

    private Task<IReadOnlyList<IdentityConflict>> ConflictsAsync() => Store.Identities.ConflictsAsync(Everything, Stop);

    private Task<IdentityOutcome> DecideAsync(string patient, bool linked, Reach? reach = null) => Store.Identities.DecideAsync(
        reach ?? Everything,
        patient,
        new IdentityStatement(linked, "Morwenna Tal", "Traced by phone with the practice.", "client", "request-1", Sample.Received.AddHours(1)),
        Stop);

    private Task<SearchPage> FindAsync(string number, Reach? reach = null)
    {
        var parse = SearchParser.Parse("Procedure", [KeyValuePair.Create("patient.identifier", $"{Sample.NhsNumber}|{number}")], Sample.Received);
        return Store.Resources.SearchAsync(reach ?? Everything, parse.Query!, null, Stop);
    }

    private async Task SaveAsync(Visit visit)
    {
        var id = $"p-{visit.Clinic}-{visit.Patient}";
        var patient = Sample.Patient(id, visit.Number ?? "");
        patient.BirthDate = visit.BirthDate;
        if (visit.Number is null)
        {
            patient.Identifier.Clear();
        }

        var revision = Sample.Encounter(
            visit.Id,
            visit.Revision,
            visit.Clinic,
            visit.Practice,
            $"{visit}",
            resources: [patient, Sample.Procedure($"{visit.Clinic}-{visit.Id}", null, id)]);
        Assert.IsType<SaveOutcome.Saved>(await Store.Encounters.SaveAsync(
            revision with { PatientKey = PatientKey(visit), NhsNumber = new PatientLink(visit.Number, visit.Verified, visit.BirthDate) }, Stop));
    }

    private async Task RetractAsync(Visit visit) => Assert.IsType<SaveOutcome.Saved>(await Store.Encounters.SaveAsync(
        Sample.Encounter(visit.Id, 2, visit.Clinic, visit.Practice, "retraction") with
        {
            PatientKey = PatientKey(visit),
            State = StoredEncounter.Retracted,
            Retraction = new Provenance { Id = Guid.CreateVersion7().ToString() },
        },
        Stop));

    private static Guid PatientKey(Visit visit) => Sample.Encounter(visit.Patient, clinic: visit.Clinic).PatientKey;

    /// <summary>A visit under a patient id of a clinic and who it says the patient is.</summary>
    private sealed record Visit(int Id, int Patient, string? Number, string BirthDate)
    {
        public string Clinic { get; init; } = Sample.Clinic;

        public string Practice { get; init; } = Sample.Practice;

        public bool Verified { get; init; } = true;

        public int Revision { get; init; } = 1;
    }
}
