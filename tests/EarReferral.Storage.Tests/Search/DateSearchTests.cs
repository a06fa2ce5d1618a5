using EarReferral.Storage.Search;
using EarReferral.Storage.Tests.Databases;
using Hl7.Fhir.Model;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Storage.Tests.Search;

public sealed class DateSearchOnSqliteTests(SharedSqlite store) : DateSearchTests(store), IClassFixture<SharedSqlite>;

public sealed class DateSearchOnPostgreSqlTests(SharedPostgreSql store) : DateSearchTests(store), IClassFixture<SharedPostgreSql>;

public abstract class DateSearchTests(SharedStore shared)
{
    private static readonly string[] Names = ["A", "B", "C", "D", "E", "F"];

    /// <summary>
    /// The worked table: resources A 2024-03-10, B 2024-03, C 2024-03-10T09:15:00Z, D Period 2024-03-09T23:30Z to
    /// 2024-03-10T00:30Z, E Period from 2024-03-11 without end, F Period to 2024-03-08 without start. It follows the prefix
    /// definitions of FHIR R4 search (hl7.org/fhir/R4/search.html#prefix); "gt" of a day begins after the day's end.
    /// </summary>
    public static TheoryData<string, string> DateTable { get; } = new()
    {
        { "2024-03-10", "A C" },
        { "eq2024-03-10", "A C" },
        { "ne2024-03-10", "B D E F" },
        { "gt2024-03-10", "B E" },
        { "ge2024-03-10", "A B C E" },
        { "lt2024-03-10", "B D F" },
        { "le2024-03-10", "A B C D F" },
        { "sa2024-03-10", "E" },
        { "eb2024-03-10", "F" },
        { "2024-03", "A B C D" },
        { "ge2024-03", "A B C D E" },
        { "gt2024-03", "E" },
        { "lt2024-03", "F" },
        { "eq2024-03-10T09:15:00Z", "C" },
        { "gt2024-03-10T09:15:00Z", "A B E" },
        { "ge2024-03-10T09:15:00Z", "A B C E" },
        { "lt2024-03-10T09:15:00Z", "A B D F" },
        { "sa2024-03-10T09:15:00Z", "E" },
        { "eb2024-03-10T09:15:00Z", "D F" },
    };

    [Theory]
    [MemberData(nameof(DateTable))]
    public async Task Date_MatchesByTheWorkedTable(string value, string expected)
    {
        var store = await shared.GetAsync(FillAsync);
        var query = SearchParser.Parse(
            "Procedure",
            [KeyValuePair.Create("patient", "p1"), KeyValuePair.Create("date", value)],
            Sample.Received,
            new Uri("https://gateway.example/fhir")).Query!;

        var page = await store.Resources.SearchAsync(new Reach.Everything("test"), query, null, TestContext.Current.CancellationToken);

        Assert.Equal(expected.Split(' '), page.Entries.Select(entry => entry.Id).Order());
    }

    private static Task FillAsync(TestStore store)
    {
        DataType[] dates =
        [
            new FhirDateTime("2024-03-10"),
            new FhirDateTime("2024-03"),
            new FhirDateTime("2024-03-10T09:15:00Z"),
            new Period { Start = "2024-03-09T23:30:00Z", End = "2024-03-10T00:30:00Z" },
            new Period { Start = "2024-03-11" },
            new Period { End = "2024-03-08" },
        ];
        return store.Encounters.SaveAsync(
            Sample.Encounter(resources: [.. Names.Zip(dates, (name, date) => Sample.Procedure(name, date))]), TestContext.Current.CancellationToken);
    }
}
