using EarReferral.Storage.Encounters;
using EarReferral.Storage.Identity;
using EarReferral.Storage.Tests.Databases;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Tests.Identity;

public sealed class IdentityStoreOnSqliteTests() : IdentityStoreTests(DatabaseKind.Sqlite);

public sealed class IdentityStoreOnPostgreSqlTests() : IdentityStoreTests(DatabaseKind.PostgreSql);

public abstract class IdentityStoreTests(DatabaseKind kind) : StoreContract(kind)
{
    [Fact]
    public async Task SameKeys_GetTheSameSeedsEvenTenAtOnce()
    {
        var all = await Task.WhenAll(Enumerable.Range(0, 10).Select(_ => Task.Run(
            () => Store.Identities.ResolveAsync(Sample.Clinic, "V-1", "P-1", "C-1", Stop), Stop)));

        var seeds = Assert.Single(all.Distinct());
        Assert.Equal(4, new HashSet<Guid> { seeds.Encounter, seeds.Patient, seeds.Practitioner, seeds.Clinic }.Count);
    }

    [Fact]
    public async Task NextEncounterOfThePatient_KeepsPatientAndPractitioner()
    {
        var first = await Store.Identities.ResolveAsync(Sample.Clinic, "V-1", "P-1", "C-1", Stop);

        var second = await Store.Identities.ResolveAsync(Sample.Clinic, "V-2", "P-1", "C-1", Stop);

        Assert.NotEqual(first.Encounter, second.Encounter);
        Assert.Equal(first with { Encounter = second.Encounter }, second);
    }

    [Fact]
    public async Task SameLocalIdsAtTwoClinics_AreDifferentPeople()
    {
        var here = await Store.Identities.ResolveAsync(Sample.Clinic, "V-1", "P-1", "C-1", Stop);

        var there = await Store.Identities.ResolveAsync("quayside", "V-1", "P-1", "C-1", Stop);

        Assert.NotEqual(here.Patient, there.Patient);
        Assert.NotEqual(here.Practitioner, there.Practitioner);
    }

    [Fact]
    public async Task VerifiedNhsNumberWithTwoBirthDates_IsListedForBothClinics()
    {
        await SaveAsync(Sample.Clinic, new PatientLink("9990000018", true, "1957-04-02"));
        await SaveAsync("quayside", new PatientLink("9990000018", true, "1975-04-02"));

        var here = Assert.Single(await Store.Identities.ConflictsAsync(new Reach.Clinic(Sample.Clinic), Stop));
        var there = Assert.Single(await Store.Identities.ConflictsAsync(new Reach.Clinic("quayside"), Stop));

        Assert.Equal((here.PatientKey, here.OtherPatientKey), (there.OtherPatientKey, there.PatientKey));
    }

    [Theory]
    [InlineData("9990000018", true, "1957-04-02", "same number, same birth date: the same person at two clinics")]
    [InlineData("9990000018", false, "1975-04-02", "an untraced number proves nothing")]
    [InlineData("9990000018", true, null, "no birth date to differ in")]
    [InlineData("9990000026", true, "1975-04-02", "another number")]
    public async Task WithoutAVerifiedClash_NothingIsListed(string nhsNumber, bool verified, string? birthDate, string reason)
    {
        await SaveAsync(Sample.Clinic, new PatientLink("9990000018", true, "1957-04-02"));

        await SaveAsync("quayside", new PatientLink(nhsNumber, verified, birthDate));

        Assert.True((await Store.Identities.ConflictsAsync(Everything, Stop)).Count == 0, reason);
    }

    [Fact]
    public async Task NumberLearnedLater_IsFoundWithTheSamePatient()
    {
        var first = await Store.Identities.ResolveAsync(Sample.Clinic, "V-1", "P-1", "C-1", Stop);
        var later = await Store.Identities.ResolveAsync(Sample.Clinic, "V-2", "P-1", "C-1", Stop);

        await SaveAsync(Sample.Clinic, new PatientLink("9990000018", false, "1957-04-02"));

        Assert.Equal(first.Patient, later.Patient);
        Assert.Equal(["9990000018"], await NumbersAsync());
    }

    [Theory]
    [InlineData(false, "an untraced number was mistyped")]
    [InlineData(true, "a traced number was another person's")]
    public async Task NumberCorrectedLater_ReplacesTheFormerOneAndItsClash(bool verified, string reason)
    {
        await SaveAsync("quayside", new PatientLink("9990000018", true, "1975-04-02"));
        await SaveAsync(Sample.Clinic, new PatientLink("9990000018", verified, "1957-04-02"));

        await CorrectAsync(new PatientLink("9990000026", true, "1957-04-02"));

        Assert.Equal(["9990000018", "9990000026"], await NumbersAsync());
        Assert.True((await Store.Identities.ConflictsAsync(Everything, Stop)).Count == 0, reason);
    }

    [Fact]
    public async Task Twins_BornTheSameDayWithTheirOwnNumbers_AreTwoPeopleWithoutClash()
    {
        var one = await Store.Identities.ResolveAsync(Sample.Clinic, "V-1", "P-1", "C-1", Stop);
        var other = await Store.Identities.ResolveAsync(Sample.Clinic, "V-2", "P-2", "C-1", Stop);
        await SaveAsync(Sample.Clinic, new PatientLink("9990000018", true, "1957-04-02"));
        await Store.Encounters.SaveAsync(Sample.Encounter(2) with { NhsNumber = new PatientLink("9990000026", true, "1957-04-02") }, Stop);

        Assert.NotEqual(one.Patient, other.Patient);
        Assert.Equal(["9990000018", "9990000026"], await NumbersAsync());
        Assert.Empty(await Store.Identities.ConflictsAsync(Everything, Stop));
    }

    [Fact]
    public async Task ChangedName_KeepsThePatient()
    {
        await Store.Encounters.SaveAsync(Sample.Encounter(resources: [Sample.Patient("p1", "9990000018", family: "Thornby")]), Stop);

        await Store.Encounters.SaveAsync(
            Sample.Encounter(revision: 2, content: "second", resources: [Sample.Patient("p1", "9990000018", family: "Elmhurst")]), Stop);

        Assert.Equal([2, 1], (await Store.Resources.HistoryAsync(Everything, "Patient", "p1", Stop)).Select(version => version.Version));
    }

    [Fact]
    public async Task TwoClinicsWithOnePatient_StayTwoPatients()
    {
        await SaveAsync(Sample.Clinic, new PatientLink("9990000018", true, "1957-04-02"));
        await SaveAsync("quayside", new PatientLink("9990000018", true, "1957-04-02"));

        await using var store = Store.Database.Open();
        Assert.Equal(2, await store.PatientLinks.Select(row => row.PatientKey).Distinct().CountAsync(Stop));
        Assert.Empty(await Store.Identities.ConflictsAsync(Everything, Stop));
    }

    [Theory]
    [InlineData(false, 0, "nothing but the withdrawn entry spoke for it")]
    [InlineData(true, 1, "it was traced, and another encounter may have named it")]
    public async Task CorrectionWithoutANumber_KeepsOnlyATracedOne(bool verified, int kept, string reason)
    {
        await SaveAsync(Sample.Clinic, new PatientLink("9990000018", verified, "1957-04-02"));

        await CorrectAsync(null);

        Assert.True((await NumbersAsync()).Count == kept, reason);
    }

    private Task<SaveOutcome> CorrectAsync(PatientLink? link) => Store.Encounters.SaveAsync(
        Sample.Encounter(revision: 2, content: "second") with { NhsNumber = link }, Stop);

    private async Task<List<string>> NumbersAsync()
    {
        await using var store = Store.Database.Open();
        return await store.PatientLinks.Select(row => row.NhsNumber).Order().ToListAsync(Stop);
    }

    private Task<SaveOutcome> SaveAsync(string clinic, PatientLink link) =>
        Store.Encounters.SaveAsync(Sample.Encounter(clinic: clinic) with { NhsNumber = link }, Stop);
}
