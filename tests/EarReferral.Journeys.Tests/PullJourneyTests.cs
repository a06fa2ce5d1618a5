using System.Text.Json.Nodes;
using EarReferral.Journeys.Tests.Processes;

namespace EarReferral.Journeys.Tests;

public sealed class PullJourneyTests(RunningWorld running) : IClassFixture<RunningWorld>
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    private World World => running.World;

    [Fact]
    public async Task ProcedureSearchByNhsNumber_AnswersGetAndPostAlike()
    {
        var document = World.Example("01-");
        document["encounterId"] = "pull-01";
        await World.PostAsync(document, Stop);
        var identifier = $"https://fhir.nhs.uk/Id/nhs-number|{((string)document["patient"]!["nhsNumber"]!["value"]!).Replace(" ", "", StringComparison.Ordinal)}";

        var (status, got) = await World.GetAsync($"/fhir/Procedure?patient.identifier={Uri.EscapeDataString(identifier)}", Stop);
        using var form = new FormUrlEncodedContent([KeyValuePair.Create("patient.identifier", identifier)]);
        using var answer = await World.Http.PostAsync(new Uri($"{World.Gateway}/fhir/Procedure/_search"), form, Stop);
        var posted = JsonNode.Parse(await answer.Content.ReadAsStringAsync(Stop))!.AsObject();

        Assert.Equal(200, status);
        Assert.Equal(2, (int)got!["total"]!);
        Assert.Equal(got["entry"]!.ToJsonString(), posted["entry"]!.ToJsonString());
        Assert.All(got["entry"]!.AsArray(), entry => Assert.Equal("match", (string)entry!["search"]!["mode"]!));
        Assert.Equal(["Left ear", "Right ear"], got["entry"]!.AsArray().Select(entry => (string)entry!["resource"]!["bodySite"]![0]!["text"]!).Order());
    }

    [Fact]
    public async Task SummaryDocument_BeginsWithTheCompositionAndCarriesAllItRefersTo()
    {
        var document = World.Example("09-");
        document["encounterId"] = "pull-09";
        var (_, receipt) = await World.PostAsync(document, Stop);

        var (status, bundle) = await World.GetAsync((string)receipt["summary"]!, Stop);

        Assert.Equal(200, status);
        Assert.Equal("document", (string)bundle!["type"]!);
        var entries = bundle["entry"]!.AsArray();
        Assert.Equal("Composition", (string)entries[0]!["resource"]!["resourceType"]!);
        var addresses = entries.Select(entry => (string)entry!["fullUrl"]!).ToHashSet();
        var references = References(bundle).Where(reference => !reference.StartsWith('#')).ToHashSet();
        Assert.NotEmpty(references);
        Assert.All(references, reference => Assert.Contains(addresses, address => address == reference || address.EndsWith("/" + reference, StringComparison.Ordinal)));
    }

    [Theory]
    [InlineData("/fhir/Procedure/7d3c1c1e-0000-4000-8000-000000000000", 404, "not-found")]
    [InlineData("/fhir/Procedure?patient:foo=x", 400, "not-supported")]
    [InlineData("/fhir/Procedure?patient=P1&date=2024-13-01", 400, "value")]
    [InlineData("/fhir/Nothing", 404, "not-found")]
    [InlineData("/fhir/Procedure", 400, "too-costly")]
    public async Task FhirError_IsAnOperationOutcome(string path, int expected, string code)
    {
        var (status, outcome) = await World.GetAsync(path, Stop);

        Assert.Equal(expected, status);
        Assert.Equal("OperationOutcome", (string)outcome!["resourceType"]!);
        Assert.Equal(code, (string)outcome["issue"]![0]!["code"]!);
    }

    [Fact]
    public async Task CapabilityStatement_IsServed()
    {
        var (status, statement) = await World.GetAsync("/fhir/metadata", Stop);

        Assert.Equal(200, status);
        Assert.Equal("4.0.1", (string)statement!["fhirVersion"]!);
        Assert.Contains(statement["rest"]![0]!["resource"]!.AsArray(), resource => (string)resource!["type"]! == "Procedure");
    }

    private static IEnumerable<string> References(JsonNode? node) => node switch
    {
        JsonObject members => members.SelectMany(member => member is { Key: "reference", Value: JsonValue value } ? [(string)value!] : References(member.Value)),
        JsonArray items => items.SelectMany(References),
        _ => [],
    };
}
