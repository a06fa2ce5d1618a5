using System.Net;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Tests.Referrals;
using EarReferral.Testing;

namespace EarReferral.Gateway.Tests.Vocabulary;

/// <summary>The example visit in the clinic's own codes, from the post to what a GP's system reads, against its hand-written expectation.</summary>
public sealed class OwnCodesTests(RunningGateway gateway) : IClassFixture<RunningGateway>
{
    private const string OwnSystem = "https://harbour-lane.example/codes";

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Visit_IsDecidedAsInTheContractsCodesAndCarriesBoth()
    {
        var expected = Example("own-codes.expectation.json");
        var (status, receipt) = await PostAsync(Example("own-codes.json"));

        Assert.Equal(HttpStatusCode.Created, status);
        Assert.Equal(((string)expected["tier"]!, "triaged"), ((string)receipt["decision"]!["tier"]!, (string)receipt["state"]!));
        var fired = receipt["decision"]!["fired"]!.AsArray();
        Assert.All(expected["rules"]!.AsArray(), rule => Assert.Contains(fired, each => (string)each!["rule"]! == (string)rule! && (string)each["side"]! == (string)expected["side"]!));
        Assert.Equal((int)expected["translated"]!, (int)receipt["vocabulary"]!["translated"]!);
        Assert.Equal(Texts(expected["keptAsText"]!), receipt["vocabulary"]!["keptAsText"]!.AsArray().Select(kept => (string)kept!["pointer"]!));

        var document = await ReadAsync(new Uri((string)receipt["summary"]!).PathAndQuery);
        var encounter = (string)document["entry"]!.AsArray().Single(entry => (string)entry!["resource"]!["resourceType"]! == "Encounter")!["resource"]!["id"]!;
        var observations = (await ReadAsync($"/fhir/Observation?encounter=Encounter/{encounter}&_count=200"))["entry"]!.AsArray().Select(entry => entry!["resource"]!).ToList();
        foreach (var wanted in expected["observations"]!.AsArray())
        {
            var found = Assert.Single(observations, observation => Code(observation["code"]!) == (string)wanted!["finding"]! && Moment(observation) == (string?)wanted["moment"]);
            var codings = found["valueCodeableConcept"]!["coding"]!.AsArray();
            var own = Assert.Single(codings, coding => (string)coding!["system"]! == OwnSystem)!;
            Assert.Equal(((string)wanted!["own"]!, (string)wanted["ownDisplay"]!, "2026-1", true), ((string)own["code"]!, (string)own["display"]!, (string)own["version"]!, (bool)own["userSelected"]!));
            Assert.Equal((string?)wanted["ours"], (string?)codings.FirstOrDefault(coding => (string)coding!["system"]! != OwnSystem)?["code"]);
            Assert.Equal(wanted["ours"] is null ? (string)wanted["ownDisplay"]! : (string)wanted["ours"]!, (string)found["valueCodeableConcept"]!["text"]!);
        }
    }

    [Fact]
    public async Task CodeThatDecidesAndIsNotMapped_IsRefusedAndTheRestStillRaisesTheAlarm()
    {
        var document = Example("own-codes.json");
        document["encounterId"] = "HL-2026-0331-20";
        document["ears"]![0]!["outcome"]!["result"] = "CLEAN";

        var (status, problem) = await PostAsync(document);

        Assert.Equal(HttpStatusCode.UnprocessableEntity, status);
        var error = Assert.Single(problem["errors"]!.AsArray())!;
        Assert.Equal(("vocabulary.unmapped", "/ears/0/outcome/result"), ((string)error["id"]!, (string)error["pointer"]!));
        Assert.True((bool)problem["phoneNow"]!);
    }

    [Fact]
    public async Task VersionThatIsNotConfigured_IsRefused()
    {
        var document = Example("own-codes.json");
        document["vocabulary"]!["version"] = "2027-1";

        var (status, problem) = await PostAsync(document);

        Assert.Equal((HttpStatusCode.UnprocessableEntity, "vocabulary.unknown"), (status, (string)problem["errors"]![0]!["id"]!));
    }

    [Fact]
    public async Task OpenQuestion_IsAnsweredInTheCodesOfTheVisit()
    {
        var document = Example("own-codes.json");
        document["encounterId"] = "HL-2026-0331-21";
        document["ears"]![0]!["hearing"]!["change"] = "HC9";
        var (_, receipt) = await PostAsync(document);
        var address = new Uri((string)receipt["encounter"]!).PathAndQuery;

        var (refused, problem) = await SendAsync($"{address}/answers", Answer("sudden"));
        var (taken, answered) = await SendAsync($"{address}/answers", Answer("HC3"));
        var (again, twice) = await SendAsync($"{address}/answers", Answer("HC1"));

        Assert.Equal((HttpStatusCode.UnprocessableEntity, "vocabulary.unmapped"), (refused, (string)problem["errors"]![0]!["id"]!));
        Assert.Equal((HttpStatusCode.OK, "T1"), (taken, (string)answered["decision"]!["tier"]!));
        Assert.Equal((HttpStatusCode.UnprocessableEntity, "answer.already-answered"), (again, (string)twice["errors"]![0]!["id"]!));
    }

    [Fact]
    public async Task Maps_AreServedAndTranslate()
    {
        var map = await ReadAsync("/fhir/ConceptMap/harbour-lane-hearing-change");
        var translated = await ReadAsync($"/fhir/ConceptMap/$translate?url={Uri.EscapeDataString((string)map["url"]!)}&system={Uri.EscapeDataString(OwnSystem)}&code=HC3");

        Assert.True((bool)translated["parameter"]!.AsArray().Single(parameter => (string)parameter!["name"]! == "result")!["valueBoolean"]!);
        Assert.Contains("\"sudden\"", translated.ToJsonString(), StringComparison.Ordinal);
    }

    private static object Answer(string value) => new
    {
        person = "Morwenna Tal",
        at = "2026-03-31T16:00:00+01:00",
        given = new[] { new { finding = "hearing-change", side = "left", value } },
    };

    private static JsonNode Example(string name) => JsonNode.Parse(File.ReadAllText(Repository.At("examples", "vocabulary", name)))!;

    private static IEnumerable<string> Texts(JsonNode array) => array.AsArray().Select(text => (string)text!);

    private static string Code(JsonNode concept) => (string)concept["coding"]![0]!["code"]!;

    private static string? Moment(JsonNode observation) => observation["category"]!.AsArray().Select(category => Code(category!)).FirstOrDefault(code => code is "before" or "after");

    private Task<(HttpStatusCode Status, JsonNode Body)> PostAsync(JsonNode document) => SendAsync("/encounters", document);

    private async Task<(HttpStatusCode Status, JsonNode Body)> SendAsync(string path, object body)
    {
        for (var tries = 0; ; tries++)
        {
            using var response = await gateway.Client.PostAsJsonAsync(new Uri(path, UriKind.Relative), body, Stop);
            if (response.StatusCode != HttpStatusCode.ServiceUnavailable || tries == 60)
            {
                return (response.StatusCode, JsonNode.Parse(await response.Content.ReadAsStringAsync(Stop))!);
            }

            // The validator warms up; a client does the same as Retry-After says.
            await Task.Delay(TimeSpan.FromSeconds(1), Stop);
        }
    }

    private async Task<JsonNode> ReadAsync(string path) => JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri(path, UriKind.Relative), Stop))!;
}
