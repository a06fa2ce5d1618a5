using EarReferral.Storage.Search;
using EarReferral.Storage.Tests.Databases;
using Hl7.Fhir.Model;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Storage.Tests.Search;

public sealed class PagingOnSqliteTests() : PagingTests(DatabaseKind.Sqlite);

public sealed class PagingOnPostgreSqlTests() : PagingTests(DatabaseKind.PostgreSql);

/// <summary>Property: who follows the pages meets everything that was there at the start exactly once, whatever is stored or changed in between.</summary>
public abstract class PagingTests(DatabaseKind kind) : StoreContract(kind)
{
    private const int AtStart = 23;

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    public async Task PagesUnderInsertsAndChanges_LoseNothingAndRepeatNothing(int seed)
    {
        var random = new Random(seed);
        for (var number = 1; number <= AtStart; number++)
        {
            await PutAsync(number, revision: 1);
        }

        var revisions = Enumerable.Range(1, AtStart).ToDictionary(number => number, _ => 1);
        var query = SearchParser.Parse("Procedure", [KeyValuePair.Create("patient", "p1"), KeyValuePair.Create("_count", $"{random.Next(1, 6)}")], Sample.Received).Query!;
        var met = new List<string>();
        string? cursor = null;
        do
        {
            var page = await Store.Resources.SearchAsync(Everything, query, cursor, Stop);
            Assert.InRange(page.Entries.Count, 1, query.Count);
            met.AddRange(page.Entries.Select(entry => entry.Id));
            cursor = page.Next;
            if (met.Count < 3 * AtStart)
            {
                await Task.WhenAll(PutAsync(revisions.Count + 1, 1), ChangeAsync(random.Next(1, AtStart + 1), revisions));
                revisions.Add(revisions.Count + 1, 1);
            }
        }
        while (cursor is not null && met.Count < 10 * AtStart);

        Assert.Equal(met.Count, met.Distinct().Count());
        Assert.Empty(Enumerable.Range(1, AtStart).Select(number => $"proc-{number}").Except(met));
    }

    [Fact]
    public async Task PageLink_SaysNothingAndIsGoodForOneReachOnly()
    {
        var links = Store.PageLinks;
        KeyValuePair<string, string>[] parameters = [KeyValuePair.Create("patient.identifier", "9990000018"), KeyValuePair.Create("_place", "x")];
        var practice = new Reach.Practice(Sample.Practice);

        var link = await links.SealAsync(practice, parameters, Stop);

        Assert.DoesNotContain("9990000018", System.Text.Encoding.Latin1.GetString(System.Buffers.Text.Base64Url.DecodeFromChars(link)), StringComparison.Ordinal);
        Assert.Equal(parameters, await links.OpenAsync(practice, link, Stop));
        Assert.NotEqual(link, await links.SealAsync(practice, parameters, Stop));
        Assert.Null(await links.OpenAsync(new Reach.Practice("OTH01"), link, Stop));
        Assert.Null(await links.OpenAsync(practice, (link[0] == 'A' ? "B" : "A") + link[1..], Stop));
        Assert.Null(await links.OpenAsync(practice, "not a link", Stop));
        Assert.Null(await links.OpenAsync(practice, "AAAA", Stop));
    }

    private Task ChangeAsync(int number, Dictionary<int, int> revisions) => PutAsync(number, ++revisions[number]);

    private async Task PutAsync(int number, int revision)
    {
        var procedure = Sample.Procedure($"proc-{number}", new FhirDateTime($"2024-03-{1 + ((number * revision) % 28):00}"));
        Assert.IsType<EarReferral.Storage.Encounters.SaveOutcome.Saved>(await Store.Encounters.SaveAsync(
            Sample.Encounter(number, revision, content: $"revision {revision}", resources: [procedure]), Stop));
    }
}
