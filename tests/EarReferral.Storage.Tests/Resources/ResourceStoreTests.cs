using EarReferral.Storage.Encounters;
using EarReferral.Storage.Search;
using EarReferral.Storage.Tests.Databases;
using Hl7.Fhir.Model;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Storage.Tests.Resources;

public sealed class ResourceStoreOnSqliteTests() : ResourceStoreTests(DatabaseKind.Sqlite);

public sealed class ResourceStoreOnPostgreSqlTests() : ResourceStoreTests(DatabaseKind.PostgreSql);

public abstract class ResourceStoreTests(DatabaseKind kind) : StoreContract(kind)
{
    public static TheoryData<string, string> ReachMatrix { get; } = new()
    {
        // Who asks; which of the types they find. One clinic's encounter of a Millrace patient, referred to the hospital.
        { "clinic:harbour-lane", "Organization Patient Procedure ServiceRequest Task" },
        { "clinic:quayside", "" },
        { "practice:MRS42", "Organization Patient Procedure ServiceRequest Task" },
        { "practice:OTH01", "" },
        { "destination:westerquay-ent", "ServiceRequest Task" },
        { "destination:eastmoor-ent", "" },
        { "everything", "Organization Patient Procedure ServiceRequest Task" },
    };

    [Theory]
    [MemberData(nameof(ReachMatrix))]
    public async Task Reach_DecidesReadVersionHistoryAndSearchAlike(string who, string expected)
    {
        var reach = ReachOf(who);
        await Store.Encounters.SaveAsync(
            Sample.Encounter(referral: Sample.Referral(), resources:
            [
                Sample.Patient("p1", "9990000018"),
                Sample.Procedure("proc", new FhirDateTime("2024-03-10")),
                new Organization { Id = "clinic", Name = "Harbour Lane Ear Care" },
                new ServiceRequest { Id = "referral-1", Status = RequestStatus.Active, Subject = new ResourceReference("Patient/p1") },
                Sample.Task("task-1", Hl7.Fhir.Model.Task.TaskStatus.Requested),
            ]),
            Stop);
        (string Type, string Id)[] all =
            [("Organization", "clinic"), ("Patient", "p1"), ("Procedure", "proc"), ("ServiceRequest", "referral-1"), ("Task", "task-1")];

        foreach (var (type, id) in all)
        {
            var mayRead = expected.Split(' ').Contains(type);
            Assert.Equal(mayRead, await Store.Resources.ReadAsync(reach, type, id, Stop) is not null);
            Assert.Equal(mayRead, await Store.Resources.ReadVersionAsync(reach, type, id, 1, Stop) is not null);
            Assert.Equal(mayRead, (await Store.Resources.HistoryAsync(reach, type, id, Stop)).Count == 1);
            if (SearchParameters.Resources.Contains(type))
            {
                var page = await SearchAsync(reach, type, ("_id", id));
                Assert.Equal(mayRead ? 1 : 0, page.Total);
                Assert.Equal(mayRead ? 1 : 0, page.Entries.Count);
            }
        }
    }

    [Fact]
    public async Task DayInSummerTime_IsLondons()
    {
        // 23:30 UTC on 1 July is 00:30 on 2 July in London.
        await SaveAsync(Sample.Procedure("late", new FhirDateTime("2024-07-01T23:30:00Z")));

        Assert.Equal(0, (await SearchAsync(Everything, "Procedure", ("patient", "p1"), ("date", "2024-07-01"))).Total);
        Assert.Equal(1, (await SearchAsync(Everything, "Procedure", ("patient", "p1"), ("date", "2024-07-02"))).Total);
    }

    [Theory]
    [InlineData("patient", "p1", "bare id")]
    [InlineData("patient", "Patient/p1", "typed")]
    [InlineData("patient", "https://gateway.example/fhir/Patient/p1", "our own absolute address")]
    [InlineData("subject:Patient", "p1", "type by modifier")]
    [InlineData("patient.identifier", "https://fhir.nhs.uk/Id/nhs-number|9990000018", "chain with system")]
    [InlineData("patient.identifier", "9990000018", "chain in any system")]
    [InlineData("patient", "nobody,p1", "comma is or")]
    public async Task Patient_IsFoundInEveryForm(string name, string value, string reason)
    {
        await SaveAsync(
            Sample.Patient("p1", "9990000018"),
            Sample.Patient("p2", "9990000026"),
            Sample.Procedure("right", null),
            Sample.Procedure("left", null),
            Sample.Procedure("other", null, patient: "p2"));

        var page = await SearchAsync(Everything, "Procedure", (name, value));

        Assert.True(page.Entries.Select(entry => entry.Id).Order().SequenceEqual(["left", "right"]), reason);
    }

    [Theory]
    [InlineData("patient", "https://elsewhere.example/fhir/Patient/p1", "another server's patient")]
    [InlineData("patient.identifier", "urn:other|9990000018", "another system")]
    [InlineData("patient.identifier", "|9990000018", "the stored identifier has a system")]
    [InlineData("patient", "unknown", "an unknown patient is no error")]
    public async Task OtherPatient_IsNotFound(string name, string value, string reason)
    {
        await SaveAsync(Sample.Patient("p1", "9990000018"), Sample.Procedure("right", null));

        var page = await SearchAsync(Everything, "Procedure", (name, value));

        Assert.True(page is { Total: 0, Entries: [], Next: null }, reason);
    }

    [Theory]
    [InlineData("73761001", 2)]
    [InlineData("http://snomed.info/sct|73761001", 2)]
    [InlineData("http://snomed.info/sct|", 2)]
    [InlineData("http://loinc.org|73761001", 0)]
    [InlineData("|73761001", 0)]
    public async Task Code_MatchesByTheTokenForms(string value, int expected)
    {
        await SaveAsync(Sample.Procedure("right", null), Sample.Procedure("left", null));

        Assert.Equal(expected, (await SearchAsync(Everything, "Procedure", ("patient", "p1"), ("code", value))).Total);
    }

    [Theory]
    [InlineData("http://snomed.info/sct|25577004", "right", "the lateralised structure")]
    [InlineData("7771000", "left", "the side alone, from the laterality extension")]
    [InlineData("25577004,89644007", "left right", "either")]
    [InlineData("24028007", "", "the right ear has no extension here")]
    public async Task Laterality_MatchesStructureAndSide(string value, string expected, string reason)
    {
        var (right, left) = (Sample.Procedure("right", null), Sample.Procedure("left", null));
        right.BodySite = [new CodeableConcept("http://snomed.info/sct", "25577004")];
        left.BodySite = [new CodeableConcept("http://snomed.info/sct", "89644007")
        {
            Extension = [new Extension("https://ear-referral.example/fhir/StructureDefinition/laterality", new CodeableConcept("http://snomed.info/sct", "7771000"))],
        }];
        await SaveAsync(right, left);

        var page = await SearchAsync(Everything, "Procedure", ("patient", "p1"), ("laterality", value));

        Assert.True(expected == string.Join(' ', page.Entries.Select(entry => entry.Id).Order()), reason);
    }

    [Theory]
    [InlineData("completed,not-done", "a b")]
    [InlineData("completed", "a")]
    [InlineData("http://hl7.org/fhir/event-status|not-done", "b")]
    [InlineData("preparation", "")]
    public async Task Status_MatchesAnyOfItsValues(string value, string expected)
    {
        await SaveAsync(Sample.Procedure("a", null), Sample.Procedure("b", null, status: EventStatus.NotDone));

        var page = await SearchAsync(Everything, "Procedure", ("patient", "p1"), ("status", value));

        Assert.Equal(expected, string.Join(' ', page.Entries.Select(entry => entry.Id).Order()));
    }

    [Fact]
    public async Task Missing_TellsValuesFromNone()
    {
        await SaveAsync(Sample.Procedure("dated", new FhirDateTime("2024-03-10")), Sample.Procedure("undated", null));

        Assert.Equal("undated", Assert.Single((await SearchAsync(Everything, "Procedure", ("patient", "p1"), ("date:missing", "true"))).Entries).Id);
        Assert.Equal("dated", Assert.Single((await SearchAsync(Everything, "Procedure", ("patient", "p1"), ("date:missing", "false"))).Entries).Id);
    }

    [Theory]
    [InlineData("date", "F A E")]
    [InlineData("-date", "E A F")]
    [InlineData("_lastUpdated", "A E F")]
    public async Task Pages_FollowTheOrderToTheEndWithoutRepeats(string sort, string expected)
    {
        await SaveAsync(
            Sample.Procedure("A", new FhirDateTime("2024-03-10")),
            Sample.Procedure("E", new Period { Start = "2024-03-11" }),
            Sample.Procedure("F", new Period { End = "2024-03-08" }));
        var query = Query("Procedure", ("patient", "p1"), ("_sort", sort), ("_count", "1"));

        var seen = new List<string>();
        string? cursor = null;
        do
        {
            var page = await Store.Resources.SearchAsync(Everything, query, cursor, Stop);
            Assert.Equal(3, page.Total);
            seen.Add(Assert.Single(page.Entries).Id);
            cursor = page.Next;
        }
        while (cursor is not null && seen.Count < 9);

        Assert.Equal(expected, string.Join(' ', seen));
    }

    [Fact]
    public async Task CountZero_GivesTheTotalAlone()
    {
        await SaveAsync(Sample.Procedure("a", null));

        Assert.True(await SearchAsync(Everything, "Procedure", ("patient", "p1"), ("_count", "0")) is { Total: 1, Entries: [], Next: null });
    }

    [Fact]
    public async Task CursorOfAnotherReach_IsNotTaken()
    {
        await SaveAsync(Sample.Procedure("a", null), Sample.Procedure("b", null));
        var query = Query("Procedure", ("patient", "p1"), ("_count", "1"));
        var first = await Store.Resources.SearchAsync(Everything, query, null, Stop);

        var other = await Store.Resources.SearchAsync(new Reach.Clinic(Sample.Clinic), query, first.Next, Stop);

        Assert.Equal("a", Assert.Single(other.Entries).Id);
    }

    [Fact]
    public async Task ChainThroughAPatientOutOfReach_FindsNothing()
    {
        await SaveAsync(Sample.Patient("p1", "9990000018"));
        await Store.Encounters.SaveAsync(
            Sample.Encounter(2, clinic: "quayside", practice: "OTH01", resources: [Sample.Procedure("foreign", null)]), Stop);

        var page = await SearchAsync(new Reach.Practice("OTH01"), "Procedure", ("patient.identifier", "9990000018"));

        Assert.Equal(0, page.Total);
    }

    [Fact]
    public async Task ChangedResource_IsFoundByItsNewValuesOnly()
    {
        await SaveAsync(Sample.Patient("p1", "9990000018", family: "Thornby"));
        await Store.Encounters.SaveAsync(
            Sample.Encounter(revision: 2, content: "second", resources: [Sample.Patient("p1", "9990000018", family: "Ångström")]), Stop);

        Assert.Equal(0, (await SearchAsync(Everything, "Patient", ("identifier", "9990000018"), ("family", "thorn"))).Total);
        Assert.Equal(1, (await SearchAsync(Everything, "Patient", ("identifier", "9990000018"), ("family", "ÅNG"))).Total);
    }

    [Theory]
    [InlineData("ge2024-03-10T09:31:00.000Z", 1)]
    [InlineData("gt2024-03-10T09:31:00.000Z", 0)]
    [InlineData("2024-03-10", 1)]
    [InlineData("lt2024-03-10T09:31:00.000Z", 0)]
    public async Task LastUpdated_ComparesTheTimeOfTheVersion(string value, int expected)
    {
        await SaveAsync(Sample.Procedure("a", null));

        Assert.Equal(expected, (await SearchAsync(Everything, "Procedure", ("_lastUpdated", value))).Total);
    }

    private static Reach ReachOf(string who) => who.Split(':') switch
    {
        ["clinic", var id] => new Reach.Clinic(id),
        ["practice", var ods] => new Reach.Practice(ods),
        ["destination", var name] => new Reach.Destination(name),
        _ => Everything,
    };

    private static SearchQuery Query(string type, params IEnumerable<(string Name, string Value)> parameters)
    {
        var parse = SearchParser.Parse(
            type,
            parameters.Select(each => KeyValuePair.Create(each.Name, each.Value)),
            Sample.Received,
            new Uri("https://gateway.example/fhir"));
        Assert.Empty(parse.Problems);
        return parse.Query!;
    }

    private Task<SearchPage> SearchAsync(Reach reach, string type, params IEnumerable<(string Name, string Value)> parameters) =>
        Store.Resources.SearchAsync(reach, Query(type, parameters), null, Stop);

    private Task<SaveOutcome> SaveAsync(params IReadOnlyList<Resource> resources) =>
        Store.Encounters.SaveAsync(Sample.Encounter(resources: resources), Stop);
}
