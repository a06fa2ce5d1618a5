using System.Net;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Demo;
using EarReferral.Gateway.Tests.Referrals;
using EarReferral.Testing;

namespace EarReferral.Gateway.Tests.Rules;

/// <summary>A gateway with its own store for each test, beside two candidate sets: the active rules, and the same with longer limits for the two rules under test.</summary>
public sealed class CandidateRules : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("ear-candidates-").FullName;

    public CandidateRules()
    {
        foreach (var name in (string[])["same", "longer"])
        {
            var candidate = Directory.CreateDirectory(Path.Combine(folder, name)).FullName;
            foreach (var file in Directory.EnumerateFiles(Repository.At("profiles", "rules"), "*.json"))
            {
                var text = File.ReadAllText(file);
                File.WriteAllText(Path.Combine(candidate, Path.GetFileName(file)), name is "same" ? text : text
                    .Replace("%daysSincePerforationFirstSeen >= 56", "%daysSincePerforationFirstSeen >= 90", StringComparison.Ordinal)
                    .Replace("%suddenLoss and %daysSinceHearingOnset <= 30", "%suddenLoss and %daysSinceHearingOnset <= 3", StringComparison.Ordinal));
            }
        }
    }

    /// <summary>The folder of the candidate sets.</summary>
    public string Folder => folder;

    public void Dispose() => Directory.Delete(folder, recursive: true);
}

/// <summary>A comparison decides with what was stored: the document, its instant, the answers given since and the facts of earlier visits as they were handed in then.</summary>
public sealed class StoredInputTests(CandidateRules candidates) : IClassFixture<CandidateRules>, IAsyncLifetime
{
    private readonly RunningGateway gateway = new();

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    public async ValueTask InitializeAsync()
    {
        gateway.Settings["Rules:Candidates"] = candidates.Folder;
        await gateway.InitializeAsync();
    }

    public ValueTask DisposeAsync() => gateway.DisposeAsync();

    [Fact]
    public async Task Facts_of_an_earlier_visit_are_used_as_they_were_kept_although_that_visit_is_retracted_since()
    {
        var first = await PostAsync(Visit("a", 60));
        var second = await PostAsync(Visit("b", 0));
        Assert.Contains("R-TR-03", Fired(second)); // a hole seen 60 days ago, limit 56: the fact of the earlier visit decides
        await SendAsync(HttpMethod.Post, $"{Address(first)}/retraction", new { reason = "enteredInError", person = "Morwenna Tal", text = "Never took place." }, "\"1\"");

        var same = await CompareAsync("same");
        var longer = await CompareAsync("longer");

        // The retracted visit is left out: one is compared, none is reported as not to be compared.
        Assert.Equal((1, 0, 0), ((int)same["compared"]!, Changed(same).Count, same["notCompared"]!.AsArray().Count));
        var changed = Assert.Single(Changed(longer))!;
        Assert.Equal(("compared-b", "T4"), ((string)changed["encounterId"]!, (string)changed["difference"]!["tierAfter"]!));
        Assert.Equal(["R-TR-03 right ear T3"], changed["difference"]!["noLongerFired"]!.AsArray().Select(rule => (string)rule!));
    }

    [Fact]
    public async Task Earlier_visit_that_came_late_was_no_input_and_is_none_now()
    {
        var second = await PostAsync(Visit("b", 0));
        await PostAsync(Visit("a", 60));
        Assert.DoesNotContain("R-TR-03", Fired(second));

        var same = await CompareAsync("same");

        Assert.Equal((2, 0), ((int)same["compared"]!, Changed(same).Count));
    }

    [Fact]
    public async Task Answers_given_since_and_the_instant_of_the_visit_decide()
    {
        // Sudden loss, onset not known, seen on 31 March 2026 (NICE NG98 1.1.2); by the clock of today the onset would be months ago.
        var receipt = await PostAsync(JsonNode.Parse(await File.ReadAllTextAsync(Repository.At("examples", "encounters", "15-sudden-loss-onset-not-known.json"), Stop))!.AsObject());
        var question = receipt["decision"]!["questions"]!.AsArray().First(asked => (string)asked!["rule"]! == "R-HL-01")!;
        var open = await CompareAsync("same");
        var (status, answered) = await SendAsync(HttpMethod.Post, $"{Address(receipt)}/answers", new
        {
            person = "Morwenna Tal",
            at = "2026-03-31T16:00:00+01:00",
            given = new[] { new { finding = "hearing-onset-date", side = (string)question["side"]!, value = "2026-03-20" } },
        });
        Assert.Equal((HttpStatusCode.OK, 2), (status, (int)answered["revision"]!));

        var same = await CompareAsync("same");
        var changed = Assert.Single(Changed(await CompareAsync("longer")))!;

        Assert.Equal((1, 0), ((int)open["compared"]!, Changed(open).Count)); // still open when nobody has answered
        Assert.Equal((1, 0), ((int)same["compared"]!, Changed(same).Count)); // the newest revision only, with its answer
        Assert.Equal(2, (int)changed["revision"]!);
        Assert.Contains(changed["difference"]!["noLongerFired"]!.AsArray(), rule => ((string)rule!).StartsWith("R-HL-01 ", StringComparison.Ordinal)); // 11 days, no longer within 3
    }

    /// <summary>Example 06 with a hole in the right drum and nothing said about whether it is old.</summary>
    private static JsonObject Visit(string id, int daysAgo)
    {
        var example = JsonNode.Parse(File.ReadAllText(Repository.At("examples", "encounters", "06-clear-ears-nothing-to-do.json")))!.AsObject();
        var document = ExampleRebase.To(example, TimeProvider.System.GetUtcNow().AddDays(-daysAgo));
        document["encounterId"] = $"compared-{id}";
        document["patient"]!["id"] = "compared";
        document["patient"]!.AsObject().Remove("nhsNumber");
        document["patient"]!["nhsNumberAbsentReason"] = "nhsNumberNotKnown";
        foreach (var ear in document["ears"]!.AsArray())
        {
            ear!["history"]!.AsObject().Remove("perforationKnown");
            if ((string)ear["side"]! == "right")
            {
                ear["before"]!["drum"]!["perforation"] = "present";
                ear["before"]!["drum"]!["intact"] = "absent";
            }
        }

        return document;
    }

    private static List<JsonNode?> Changed(JsonObject report) => [.. report["changed"]!.AsArray()];

    private static IEnumerable<string> Fired(JsonObject receipt) => receipt["decision"]!["fired"]!.AsArray().Select(rule => (string)rule!["rule"]!);

    private static string Address(JsonObject receipt) => new Uri((string)receipt["encounter"]!).AbsolutePath;

    private async Task<JsonObject> CompareAsync(string candidate) =>
        (await gateway.Client.GetFromJsonAsync<JsonObject>(new Uri($"/rules/comparison?with={candidate}", UriKind.Relative), Stop))!;

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
}
