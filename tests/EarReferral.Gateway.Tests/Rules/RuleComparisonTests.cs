using System.Net;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Demo;
using EarReferral.Gateway.Hosting;
using EarReferral.Testing;
using Microsoft.AspNetCore.Builder;

namespace EarReferral.Gateway.Tests.Rules;

/// <summary>A gateway that holds two visits, one flagged by R-HL-01 and one ordinary, and a third that was retracted, beside candidate rule sets.</summary>
public sealed class StoredVisits : IAsyncLifetime
{
    private readonly string folder = Directory.CreateTempSubdirectory("ear-compare-").FullName;
    private WebApplication? host;

    public HttpClient Client { get; } = new() { Timeout = TimeSpan.FromMinutes(3) };

    public async ValueTask InitializeAsync()
    {
        Candidate("same", rule => rule);
        Candidate("quieter", rule => rule.Replace("%daysSinceHearingOnset <= 30", "%daysSinceHearingOnset <= 3", StringComparison.Ordinal));
        // A published expression that no engine can read: the quick load does not look at it, the full check does.
        Candidate("unreadable", text => text.Replace("\"entry.", "\"entry..", StringComparison.Ordinal));
        Candidate("unsound", rule => rule.Replace("%suddenLoss and", "%noSuchVariable and", StringComparison.Ordinal));
        var configuration = DemoConfiguration.For(new DemoSettings("http://127.0.0.1:5080", folder, Once: true, AsJson: false));
        configuration["Delivery:Destinations:westerquay-ent:BaseUrl"] = "http://127.0.0.1:9/fhir";
        configuration["Rules:Candidates"] = Path.Combine(folder, "candidates");
        host = GatewayHost.Build(new HostSettings("http://127.0.0.1:0", folder, configuration));
        await host.StartAsync(TestContext.Current.CancellationToken);
        Client.BaseAddress = new Uri(host.Urls.Single());
        foreach (var example in (string[])["09-sudden-loss-12-days", "18-child-with-wax", "11-sudden-loss-39-days"])
        {
            using var body = new ByteArrayContent(await File.ReadAllBytesAsync(Repository.At("examples", "encounters", example + ".json"), TestContext.Current.CancellationToken));
            body.Headers.ContentType = new MediaTypeHeaderValue("application/json");
            HttpResponseMessage answer;
            do
            {
                answer = await Client.PostAsync(new Uri("/encounters", UriKind.Relative), body, TestContext.Current.CancellationToken);
            }
            while (answer.StatusCode == HttpStatusCode.ServiceUnavailable);

            Assert.Equal(HttpStatusCode.Created, answer.StatusCode);
            if (example.StartsWith("11", StringComparison.Ordinal))
            {
                await RetractAsync(answer.Headers.Location!);
            }
        }
    }

    private async Task RetractAsync(Uri encounter)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, new Uri($"{encounter.AbsolutePath}/retraction", UriKind.Relative))
        {
            Content = JsonContent.Create(new { reason = "enteredInError", person = "Morwenna Tal", text = "Never took place." }),
        };
        request.Headers.Add("If-Match", "\"1\"");
        using var answer = await Client.SendAsync(request, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
    }

    public async ValueTask DisposeAsync()
    {
        Client.Dispose();
        if (host is not null)
        {
            await host.StopAsync(CancellationToken.None);
            await host.DisposeAsync();
        }

        Microsoft.Data.Sqlite.SqliteConnection.ClearAllPools();
        Directory.Delete(folder, recursive: true);
    }

    private void Candidate(string name, Func<string, string> change)
    {
        var candidate = Directory.CreateDirectory(Path.Combine(folder, "candidates", name)).FullName;
        foreach (var file in Directory.EnumerateFiles(Repository.At("profiles", "rules"), "*.json"))
        {
            var text = File.ReadAllText(file);
            File.WriteAllText(Path.Combine(candidate, Path.GetFileName(file)), Path.GetFileName(file) is "R-HL-01.json" or "rule-book.json" ? change(text) : text);
        }
    }
}

public sealed class RuleComparisonTests(StoredVisits visits) : IClassFixture<StoredVisits>
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task SetThatDecidesTheSame_ReportsNoDifference()
    {
        var report = await GetAsync("/rules/comparison?with=same");

        Assert.Equal((2, 0, 0), ((int)report["compared"]!, report["changed"]!.AsArray().Count, report["notCompared"]!.AsArray().Count));
    }

    [Fact]
    public async Task RuleThatWouldFallSilent_IsNamedWithItsEar()
    {
        var report = await GetAsync("/rules/comparison?with=quieter");

        var changed = Assert.Single(report["changed"]!.AsArray())!;
        Assert.Equal("T1", (string)changed["difference"]!["tierBefore"]!);
        Assert.Contains("R-HL-01 left ear T1", changed["difference"]!["noLongerFired"]!.AsArray().Select(rule => (string)rule!));
    }

    [Fact]
    public async Task VisitsBeforeTheDay_AreNotCompared() => Assert.Equal(0, (int)(await GetAsync("/rules/comparison?with=quieter&since=2099-01-01"))["compared"]!);

    [Fact]
    public async Task ActiveRules_AreServedWithVersionHashAndSource()
    {
        var rules = await GetAsync("/rules");

        Assert.Equal(64, ((string)rules["sha256"]!).Length);
        Assert.Equal(Directory.GetFiles(Repository.At("profiles", "rules"), "R-*.json").Length, rules["rules"]!.AsArray().Count);
        Assert.All(rules["rules"]!.AsArray(), rule => Assert.NotEqual("", (string)rule!["source"]!));
    }

    [Theory]
    [InlineData("/rules/comparison?with=unsound", HttpStatusCode.UnprocessableEntity)]
    [InlineData("/rules/comparison?with=unreadable", HttpStatusCode.UnprocessableEntity)]
    [InlineData("/rules/comparison?with=none", HttpStatusCode.NotFound)]
    [InlineData("/rules/comparison?with=..", HttpStatusCode.NotFound)]
    [InlineData("/rules/comparison?with=same&since=yesterday", HttpStatusCode.BadRequest)]
    public async Task WhatCannotBeCompared_SaysWhy(string path, HttpStatusCode status)
    {
        using var answer = await visits.Client.GetAsync(new Uri(path, UriKind.Relative), Stop);

        Assert.Equal(status, answer.StatusCode);
        Assert.Equal("application/problem+json", answer.Content.Headers.ContentType!.MediaType);
    }

    private async Task<JsonObject> GetAsync(string path) => (await visits.Client.GetFromJsonAsync<JsonObject>(new Uri(path, UriKind.Relative), Stop))!;
}
