using System.Net;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Demo;
using EarReferral.Gateway.Tests.Referrals;
using EarReferral.Testing;

namespace EarReferral.Gateway.Tests.Intake;

/// <summary>
/// Two visits over real HTTP: what the first one said is used for the second, and named. Both are example 06 with a hole in the right drum;
/// after 8 weeks R-TR-03 fires (heals in about two months, common practice).
/// </summary>
public sealed class HistoryTests(RunningGateway gateway) : IClassFixture<RunningGateway>
{
    private const string Hole = "present";

    private static int number;

    private readonly string patient = $"history-{Interlocked.Increment(ref number)}";

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task HoleNotHealedAfterEightWeeks_NamesTheVisitThatSawItFirst()
    {
        await PostAsync(Visit("a", 56));
        var (_, preview) = await SendAsync(HttpMethod.Post, "/encounters/preview", Visit("b", 0));
        var receipt = await PostAsync(Visit("b", 0));

        foreach (var shown in new[] { preview, receipt })
        {
            var derived = Assert.Single(shown["history"]!["derived"]!.AsArray())!;
            Assert.Equal(("derived-perforation-first-seen", "right", $"{patient}-a"), ((string)derived["finding"]!, (string)derived["side"]!, (string)derived["from"]![0]!["encounterId"]!));
            Assert.Equal([$"{patient}-a"], Input(Fired(shown, "R-TR-03")!, "daysSincePerforationFirstSeen")["fromVisits"]!.AsArray().Select(visit => (string)visit!));
        }

        Assert.Equal(("triaged", "T3"), ((string)receipt["state"]!, (string)receipt["decision"]!["tier"]!));
    }

    [Fact]
    public async Task DerivedFact_IsInTheRecordMarkedAndInTheSummary()
    {
        await PostAsync(Visit("a", 60));
        var receipt = await PostAsync(Visit("b", 0));

        var summary = JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri((string)receipt["summary"]!).PathAndQuery, Stop))!;
        var resources = summary["entry"]!.AsArray().Select(entry => entry!["resource"]!).ToList();
        var observation = Assert.Single(resources, resource => (string)resource["resourceType"]! == "Observation" && resource["code"]?["coding"]?.AsArray().Any(coding => (string)coding!["code"]! == "derived-perforation-first-seen") is true);

        var from = Assert.Single(observation["extension"]!.AsArray())!;
        Assert.Equal("https://ear-referral.example/fhir/StructureDefinition/derived-from-encounter", (string)from["url"]!);
        Assert.Equal($"{patient}-a", (string)from["valueReference"]!["identifier"]!["value"]!);
        Assert.Equal("https://ear-referral.example/identifier/resource", (string)observation["derivedFrom"]![0]!["identifier"]!["system"]!);
        Assert.Contains("From earlier visits to this clinic", resources[0]["section"]!.AsArray().Select(section => (string)section!["title"]!));
        var source = await SearchAsync($"/fhir/Observation/{(string)observation["derivedFrom"]![0]!["identifier"]!["value"]!}");
        Assert.Equal("drum-perforation", (string)source["code"]!["coding"]!.AsArray().Single(coding => ((string)coding!["system"]!).EndsWith("/finding", StringComparison.Ordinal))!["code"]!);
    }

    [Fact]
    public async Task HoleFirstSeenADayLess_FiresNothing()
    {
        await PostAsync(Visit("a", 55));
        var receipt = await PostAsync(Visit("b", 0));

        Assert.Null(Fired(receipt, "R-TR-03"));
        Assert.Single(receipt["history"]!["derived"]!.AsArray());
    }

    [Fact]
    public async Task OtherEarOfAnEarlierVisit_IsNotUsed()
    {
        await PostAsync(Visit("a", 60, side: "left"));

        Assert.Null((await PostAsync(Visit("b", 0)))["history"]);
    }

    [Fact]
    public async Task RetractedVisit_IsNotUsed()
    {
        var first = await PostAsync(Visit("a", 60));
        await SendAsync(HttpMethod.Post, $"{Path(first)}/retraction", new { reason = "enteredInError", person = "Morwenna Tal", text = "Never took place." }, "\"1\"");

        Assert.Null((await PostAsync(Visit("b", 0)))["history"]);
    }

    [Fact]
    public async Task ClinicThatSaysOtherwise_StandsAndTheContradictionIsShown()
    {
        await PostAsync(Visit("a", 60));
        var receipt = await PostAsync(Visit("b", 0, known: "no"));

        var contradiction = receipt["history"]!["derived"]![0]!["contradicts"]!;
        Assert.Equal(("ear-history-perforation-known", "no"), ((string)contradiction["finding"]!, (string)contradiction["said"]!));
        Assert.Null(Fired(receipt, "R-TR-03"));
    }

    [Fact]
    public async Task EarlierVisitThatCameLate_IsReportedAndAltersNothing()
    {
        var second = await PostAsync(Visit("b", 0));
        Assert.Null(second["history"]);
        await PostAsync(Visit("a", 60));

        var matter = Assert.Single(await MattersAsync())!;
        var stored = JsonNode.Parse(await gateway.Client.GetStringAsync(Path(second), Stop))!;

        Assert.Equal(($"{patient}-b", $"{patient}-a", "T3"), ((string)matter["encounterId"]!, (string)matter["because"]!, (string)matter["tier"]!));
        Assert.Contains("would fire: R-TR-03 right ear T3", matter["difference"]!.AsArray().Select(line => (string)line!));
        Assert.Equal(second.ToJsonString(), stored.ToJsonString());

        // A clinician corrects or decides; that version has the history of today, and nothing waits any more.
        var (status, decided) = await SendAsync(HttpMethod.Post, $"{Path(second)}/decision", new { person = "Morwenna Tal", at = TimeProvider.System.GetUtcNow(), tier = "T2" }, "\"1\"");
        Assert.Equal(HttpStatusCode.OK, status);
        Assert.NotNull(Fired(decided, "R-TR-03"));
        Assert.Empty(await MattersAsync());
    }

    [Fact]
    public async Task EarlierVisitThatWasAmended_IsReportedWhereItMakesADifference()
    {
        var first = await PostAsync(Visit("a", 60));
        await PostAsync(Visit("b", 0));
        Assert.Empty(await MattersAsync());

        var harmless = Visit("a", 60);
        harmless["reasonForVisit"] = "Corrected words.";
        await CorrectAsync(first, harmless, 2);
        Assert.Empty(await MattersAsync());
        await CorrectAsync(first, Visit("a", 60, perforation: "absent"), 3);

        Assert.Contains("would no longer fire: R-TR-03 right ear T3", Assert.Single(await MattersAsync())!["difference"]!.AsArray().Select(line => (string)line!));
    }

    [Fact]
    public async Task FactsOfAnEarlierVisit_CanBeAnsweredLikeAnyOther()
    {
        await PostAsync(Visit("a", 60));
        var second = await PostAsync(Visit("b", 0));

        var (status, decided) = await SendAsync(
            HttpMethod.Post,
            $"{Path(second)}/decision",
            new
            {
                person = "Morwenna Tal",
                at = TimeProvider.System.GetUtcNow(),
                ruleResponses = new[] { new { ruleId = "R-TR-03", side = "right", kind = "alreadyReferred", reason = "Seen by ENT.", handedTo = "Westerquay General", referredOn = "2026-01" } },
            },
            "\"1\"");

        Assert.Equal((HttpStatusCode.OK, "T4"), (status, (string)decided["decision"]!["tier"]!));
    }

    private JsonObject Visit(string id, int daysAgo, string side = "right", string perforation = Hole, string? known = null)
    {
        var example = JsonNode.Parse(File.ReadAllText(Repository.At("examples", "encounters", "06-clear-ears-nothing-to-do.json")))!.AsObject();
        var document = ExampleRebase.To(example, TimeProvider.System.GetUtcNow().AddDays(-daysAgo));
        document["encounterId"] = $"{patient}-{id}";
        document["patient"]!["id"] = patient;
        document["patient"]!.AsObject().Remove("nhsNumber");
        document["patient"]!["nhsNumberAbsentReason"] = "nhsNumberNotKnown";
        foreach (var ear in document["ears"]!.AsArray())
        {
            ear!["history"]!.AsObject().Remove("perforationKnown");
            if ((string)ear["side"]! == side)
            {
                ear["before"]!["drum"]!["perforation"] = perforation;
                ear["before"]!["drum"]!["intact"] = perforation == Hole ? "absent" : "present";
                if (known is not null)
                {
                    ear["history"]!["perforationKnown"] = known;
                }
            }
        }

        return document;
    }

    private async Task<JsonObject> PostAsync(JsonObject document)
    {
        var (status, receipt) = await SendAsync(HttpMethod.Post, "/encounters", document);
        for (var tries = 0; status is HttpStatusCode.ServiceUnavailable && tries < 10; tries++)
        {
            (status, receipt) = await SendAsync(HttpMethod.Post, "/encounters", document); // each waits 5 s for the validator to be warm
        }

        Assert.True(status is HttpStatusCode.Created, receipt.ToJsonString());
        return receipt;
    }

    private async Task CorrectAsync(JsonObject first, JsonObject document, int revision)
    {
        document["revision"] = revision;
        document["supersedes"] = new JsonObject { ["revision"] = revision - 1, ["reason"] = "Noted wrongly", ["person"] = "Morwenna Tal" };
        var (status, body) = await SendAsync(HttpMethod.Put, Path(first), document, $"\"{revision - 1}\"");
        Assert.True(status is HttpStatusCode.OK, body.ToJsonString());
    }

    private async Task<List<JsonNode?>> MattersAsync() =>
    [
        .. (await SearchAsync("/attention"))["items"]!.AsArray()
            .Where(matter => (string)matter!["kind"]! == "historyChanged" && ((string)matter["encounterId"]!).StartsWith($"{patient}-", StringComparison.Ordinal)),
    ];

    private async Task<JsonNode> SearchAsync(string path) => JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri(path, UriKind.Relative), Stop))!;

    private async Task<(HttpStatusCode Status, JsonObject Body)> SendAsync(HttpMethod method, string path, object body, string? ifMatch = null)
    {
        using var request = new HttpRequestMessage(method, new Uri(path, UriKind.Relative)) { Content = JsonContent.Create(body) };
        if (ifMatch is not null)
        {
            request.Headers.Add("If-Match", ifMatch);
        }

        using var response = await gateway.Client.SendAsync(request, Stop);
        return (response.StatusCode, JsonNode.Parse(await response.Content.ReadAsStringAsync(Stop))!.AsObject());
    }

    private static string Path(JsonObject receipt) => new Uri((string)receipt["encounter"]!).AbsolutePath;

    private static JsonNode? Fired(JsonObject receipt, string rule) => receipt["decision"]!["fired"]!.AsArray().SingleOrDefault(fired => (string)fired!["rule"]! == rule);

    private static JsonNode Input(JsonNode rule, string fact) => rule["inputs"]!.AsArray().Single(input => (string)input!["fact"]! == fact)!;
}
