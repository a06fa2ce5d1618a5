using EarReferral.Storage.Search;
using EarReferral.Storage.Tests.Databases;
using Hl7.Fhir.Model;
using Microsoft.EntityFrameworkCore;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Storage.Tests.Search;

public sealed class IndexRenewalOnSqliteTests() : IndexRenewalTests(DatabaseKind.Sqlite);

public sealed class IndexRenewalOnPostgreSqlTests() : IndexRenewalTests(DatabaseKind.PostgreSql);

public abstract class IndexRenewalTests(DatabaseKind kind) : StoreContract(kind)
{
    [Fact]
    public async Task OlderIndex_AnswersWhatItKnowsAndRefusesWhatItCannotUntilItIsRenewed()
    {
        var procedure = Sample.Procedure("a", new FhirDateTime("2024-03-10"));
        procedure.ReasonCode = [new CodeableConcept("urn:x", "reason")];
        await Store.Encounters.SaveAsync(Sample.Encounter(resources: [procedure]), Stop);
        await MakeOldAsync();

        await Store.Store.MigrateAsync(Stop);

        Assert.Equal(new IndexProgress(2, 0, 1), Store.Store.Renewal);
        var (old, young) = (Query(("patient", "p1")), Query(("patient", "p1"), ("reason-code", "reason")));
        Assert.Empty(Store.Resources.NotYetIndexed(old));
        Assert.Equal(1, (await Store.Resources.SearchAsync(Everything, old, null, Stop)).Total);
        Assert.Equal(["reason-code"], Store.Resources.NotYetIndexed(young));

        await Store.Store.RenewIndexAsync(Stop);

        Assert.Null(Store.Store.Renewal);
        Assert.Empty(Store.Resources.NotYetIndexed(young));
        Assert.Equal(1, (await Store.Resources.SearchAsync(Everything, young, null, Stop)).Total);
        await Store.Store.MigrateAsync(Stop);
        Assert.Null(Store.Store.Renewal);
    }

    [Fact]
    public async Task RenewalBesideWriters_LeavesTheIndexOfTheNewestVersionOnly()
    {
        for (var number = 1; number <= 40; number++)
        {
            await SaveAsync(number, 1, "completed");
        }

        await MakeOldAsync();
        await Store.Store.MigrateAsync(Stop);

        await Task.WhenAll(
            Store.Store.RenewIndexAsync(Stop),
            Task.Run(
                async () =>
                {
                    for (var number = 40; number >= 1; number--)
                    {
                        await SaveAsync(number, 2, "not-done");
                    }
                },
                Stop));

        Assert.Equal(0, (await Store.Resources.SearchAsync(Everything, Query(("patient", "p1"), ("status", "completed")), null, Stop)).Total);
        Assert.Equal(40, (await Store.Resources.SearchAsync(Everything, Query(("patient", "p1"), ("status", "not-done")), null, Stop)).Total);
    }

    private Task<int> MakeOldAsync() => Store.Database.WriteAsync(
        async store =>
        {
            await store.SearchTokens.Where(row => row.Parameter == "reason-code").ExecuteDeleteAsync(Stop);
            return await store.Facts.Where(fact => fact.Name == "search-index-version").ExecuteUpdateAsync(set => set.SetProperty(fact => fact.Value, "2"), Stop);
        },
        Stop);

    private Task<EarReferral.Storage.Encounters.SaveOutcome> SaveAsync(int number, int revision, string status) => Store.Encounters.SaveAsync(
        Sample.Encounter(number, revision, content: status, resources: [Sample.Procedure($"proc-{number}", null, status: status == "completed" ? EventStatus.Completed : EventStatus.NotDone)]), Stop);

    private static SearchQuery Query(params IEnumerable<(string Name, string Value)> parameters) =>
        SearchParser.Parse("Procedure", parameters.Select(each => KeyValuePair.Create(each.Name, each.Value)), Sample.Received).Query!;
}
