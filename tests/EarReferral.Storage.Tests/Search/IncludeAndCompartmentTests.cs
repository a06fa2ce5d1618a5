using EarReferral.Storage.Search;
using EarReferral.Storage.Tests.Databases;
using Hl7.Fhir.Model;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Storage.Tests.Search;

public sealed class IncludeAndCompartmentOnSqliteTests() : IncludeAndCompartmentTests(DatabaseKind.Sqlite);

public sealed class IncludeAndCompartmentOnPostgreSqlTests() : IncludeAndCompartmentTests(DatabaseKind.PostgreSql);

/// <summary>FHIR R4 search, 3.1.1.5.4 (including other resources) and the compartments of R4; HL7's security pages: each needs its own access check.</summary>
public abstract class IncludeAndCompartmentTests(DatabaseKind kind) : StoreContract(kind)
{
    [Theory]
    [InlineData("_include", "Procedure:encounter", "Encounter/visit", "a reference")]
    [InlineData("_include", "Procedure:performer", "Practitioner/doctor", "a shared resource")]
    [InlineData("_include", "Procedure:performer:Organization", "", "another type of target than there is")]
    [InlineData("_revinclude", "Observation:part-of", "Observation/seen", "a reference against its direction")]
    [InlineData("_revinclude", "Provenance:target", "Provenance/origin", "the origin")]
    public async Task Include_ComesAlongAndIsNotCounted(string name, string value, string expected, string reason)
    {
        await FillAsync();

        var page = await SearchAsync(Everything, "Procedure", null, ("patient", "p1"), (name, value));

        Assert.Equal((2, 2), (page.Total, page.Entries.Count));
        Assert.True(expected == string.Join(' ', page.Included.Select(found => $"{found.Type}/{found.Id}")), reason);
    }

    [Fact]
    public async Task Iterate_FollowsWhatWasIncluded()
    {
        await FillAsync();

        var page = await SearchAsync(Everything, "Procedure", null, ("patient", "p1"), ("_include", "Procedure:encounter"), ("_include:iterate", "Encounter:service-provider"));

        Assert.Equal(["clinic", "visit"], page.Included.Select(found => found.Id).Order());
    }

    [Fact]
    public async Task WhatIsOutOfReach_IsNotIncludedNorInACompartmentNorInEverything()
    {
        await FillAsync();
        var foreign = Sample.Procedure("foreign", null);
        foreign.Encounter = new ResourceReference("Encounter/visit");
        await Store.Encounters.SaveAsync(Sample.Encounter(2, clinic: "quayside", practice: "OTH01", resources: [foreign]), Stop);
        var other = new Reach.Practice("OTH01");

        var page = await SearchAsync(other, "Procedure", null, ("patient", "p1"), ("_include", "Procedure:encounter"), ("_include", "Procedure:patient"), ("_revinclude", "Observation:part-of"));

        Assert.Equal(["foreign"], page.Entries.Select(found => found.Id));
        Assert.Empty(page.Included);
        Assert.Equal(0, (await SearchAsync(other, "Procedure", new Compartment("Patient", "p1"))).Total);
        Assert.Null(await Store.Resources.EverythingAsync(other, "Patient", "p1", new EarReferral.Storage.Resources.EverythingQuery(null, null, null, [], 100, 0), Stop));
    }

    [Theory]
    [InlineData("Patient", "p1", "Procedure", "left right")]
    [InlineData("Encounter", "visit", "Procedure", "right")]
    [InlineData("Encounter", "visit", "Observation", "seen")]
    [InlineData("Patient", "nobody", "Procedure", "")]
    public async Task Compartment_HoldsItsMembers(string owner, string id, string type, string expected)
    {
        await FillAsync();

        var page = await SearchAsync(Everything, type, new Compartment(owner, id));

        Assert.Equal(expected, string.Join(' ', page.Entries.Select(found => found.Id).Order()));
    }

    [Fact]
    public void TaskIsInNoCompartment() =>
        Assert.Contains(SearchParser.Parse("Task", [], Sample.Received, null, new Compartment("Patient", "p1")).Problems, problem => problem.Code == "unknown-type");

    [Theory]
    [InlineData("Patient", "p1", "clinic doctor left origin p1 right seen visit")]
    [InlineData("Encounter", "visit", "clinic doctor left origin p1 right seen visit")]
    public async Task Everything_BringsTheRecordAndThePeopleItNames(string type, string id, string expected)
    {
        await FillAsync();

        var page = (await Store.Resources.EverythingAsync(Everything, type, id, new EarReferral.Storage.Resources.EverythingQuery(null, null, null, [], 100, 0), Stop))!;

        Assert.Equal(expected, string.Join(' ', page.Entries.Select(found => found.Id).Order()));
        Assert.Equal(page.Entries.Count, page.Total);
    }

    [Theory]
    [InlineData("code:not", "73761001", "", "both have the code")]
    [InlineData("status:not", "not-done", "left right", "neither has the status")]
    [InlineData("encounter.identifier", "V-1", "right", "chain through the visit")]
    [InlineData("subject:Patient.identifier", "9990000018", "left right", "chain with the type named")]
    [InlineData("_profile", "https://ear-referral.example/fhir/StructureDefinition/ear-procedure", "right", "a profile as a whole")]
    [InlineData("_profile", "https://ear-referral.example", "", "not the start of one")]
    public async Task Parameter_Matches(string name, string value, string expected, string reason)
    {
        await FillAsync();

        var page = await SearchAsync(Everything, "Procedure", null, ("patient", "p1"), (name, value));

        Assert.True(expected == string.Join(' ', page.Entries.Select(found => found.Id).Order()), reason);
    }

    [Fact]
    public async Task Contains_FindsTheMiddleOfAName()
    {
        await FillAsync();

        Assert.Equal(1, (await SearchAsync(Everything, "Patient", null, ("_id", "p1"), ("family:contains", "ORN"))).Total);
        Assert.Equal(0, (await SearchAsync(Everything, "Patient", null, ("_id", "p1"), ("family", "orn"))).Total);
    }

    [Fact]
    public async Task TotalNone_IsNotCounted()
    {
        await FillAsync();

        var page = await SearchAsync(Everything, "Procedure", null, ("patient", "p1"), ("_total", "none"));

        Assert.True(page is { Total: null, Entries.Count: 2 });
    }

    private async Task FillAsync()
    {
        var right = Sample.Procedure("right", new FhirDateTime("2024-03-10"));
        right.Encounter = new ResourceReference("Encounter/visit");
        right.Performer = [new Procedure.PerformerComponent { Actor = new ResourceReference("Practitioner/doctor") }];
        right.Meta = new Meta { Profile = ["https://ear-referral.example/fhir/StructureDefinition/ear-procedure"] };
        await Store.Encounters.SaveAsync(
            Sample.Encounter(resources:
            [
                Sample.Patient("p1", "9990000018"),
                new Encounter
                {
                    Id = "visit",
                    Identifier = [new Identifier("https://clinic.example/visits", "V-1")],
                    Status = Encounter.EncounterStatus.Finished,
                    Class = new Coding("http://terminology.hl7.org/CodeSystem/v3-ActCode", "AMB"),
                    Subject = new ResourceReference("Patient/p1"),
                    ServiceProvider = new ResourceReference("Organization/clinic"),
                    Period = new Period { Start = "2024-03-10T09:00:00Z", End = "2024-03-10T09:20:00Z" },
                },
                right,
                Sample.Procedure("left", null),
                new Observation { Id = "seen", Status = ObservationStatus.Final, Code = new CodeableConcept("urn:x", "y"), Subject = new ResourceReference("Patient/p1"), Encounter = new ResourceReference("Encounter/visit"), PartOf = [new ResourceReference("Procedure/right")] },
                new Provenance { Id = "origin", Target = [new ResourceReference("Procedure/right"), new ResourceReference("Patient/p1")], Recorded = Sample.Received, Agent = [new Provenance.AgentComponent { Who = new ResourceReference("Organization/clinic") }] },
                new Organization { Id = "clinic", Name = "Harbour Lane Ear Care" },
                new Practitioner { Id = "doctor" },
            ]),
            Stop);
    }

    private Task<SearchPage> SearchAsync(Reach reach, string type, Compartment? compartment, params IEnumerable<(string Name, string Value)> parameters)
    {
        var parse = SearchParser.Parse(type, parameters.Select(each => KeyValuePair.Create(each.Name, each.Value)), Sample.Received, new Uri("https://gateway.example/fhir"), compartment);
        Assert.Empty(parse.Problems);
        return Store.Resources.SearchAsync(reach, parse.Query!, null, Stop);
    }
}
