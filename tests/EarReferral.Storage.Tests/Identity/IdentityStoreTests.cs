using EarReferral.Storage.Tests.Databases;

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
    public async Task ChangedName_KeepsThePatient()
    {
        await Store.Encounters.SaveAsync(Sample.Encounter(resources: [Sample.Patient("p1", "9990000018", family: "Thornby")]), Stop);

        await Store.Encounters.SaveAsync(
            Sample.Encounter(revision: 2, content: "second", resources: [Sample.Patient("p1", "9990000018", family: "Elmhurst")]), Stop);

        Assert.Equal([2, 1], (await Store.Resources.HistoryAsync(Everything, "Patient", "p1", Stop)).Select(version => version.Version));
    }
}
