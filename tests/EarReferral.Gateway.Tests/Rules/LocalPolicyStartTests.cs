using System.Net.Http.Json;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Demo;
using EarReferral.Gateway.Hosting;
using EarReferral.Gateway.Rules;
using EarReferral.Testing;
using EarReferral.Triage.Rules;
using Microsoft.AspNetCore.Builder;

namespace EarReferral.Gateway.Tests.Rules;

/// <summary>The setting <c>Rules:Overlay</c>, at the start of the real gateway.</summary>
public sealed class LocalPolicyStartTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("ear-overlay-").FullName;

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public async Task SoundPolicy_DecidesAndIsServed()
    {
        await using var host = Host(Repository.At("examples", "local-policy"));
        await host.StartAsync(Stop);
        using var client = new HttpClient { BaseAddress = new Uri(host.Urls.Single()) };

        var rules = (await client.GetFromJsonAsync<JsonObject>(new Uri("/rules", UriKind.Relative), Stop))!;
        var plan = (await client.GetFromJsonAsync<JsonObject>(new Uri("/fhir/PlanDefinition/R-HL-02", UriKind.Relative), Stop))!;

        Assert.Equal("1.0.0-local-harbour-lane-2026-11-02", (string)rules["version"]!);
        Assert.NotEmpty(rules["localChanges"]!.AsArray());
        Assert.Equal("1.0.0-local-harbour-lane-2026-11-02", (string)plan["version"]!);
        Assert.Equal(7, (int)plan["action"]![0]!["timingDuration"]!["value"]!);
        await host.StopAsync(Stop);
    }

    [Theory]
    [InlineData("", "1.0.0-local-harbour-lane-2026-11-02 ")]
    [InlineData("&policy=site", "1.0.0-local-harbour-lane-2026-11-02 ")]
    [InlineData("&policy=none", "1.0.0 ")]
    public async Task Candidate_IsTriedUnderThePolicyUnlessAskedWithoutIt(string asked, string version)
    {
        await using var host = Host(Repository.At("examples", "local-policy"), candidates: Repository.At("profiles"));
        await host.StartAsync(Stop);
        using var client = new HttpClient { BaseAddress = new Uri(host.Urls.Single()), Timeout = TimeSpan.FromMinutes(3) };

        var report = (await client.GetFromJsonAsync<JsonObject>(new Uri($"/rules/comparison?with=rules{asked}", UriKind.Relative), Stop))!;

        Assert.StartsWith(version, (string)report["candidate"]!, StringComparison.Ordinal);
        await host.StopAsync(Stop);
    }

    [Fact]
    public async Task SetEditedOnSite_IsCheckedInFullAndRefusedWithEveryProblem()
    {
        // What the quick load does not look at: an expression that no engine can read, beside a fault that it would find.
        var rules = Edited(("rule-book.json", "\"entry.", "\"entry.."), ("R-HL-01.json", "%suddenLoss and", "%noSuchVariable and"));
        await using var host = Host(overlay: null, rules);

        var error = await Assert.ThrowsAsync<InvalidRuleBookException>(() => host.StartAsync(Stop));

        Assert.Contains(error.Problems, problem => problem.Contains("is not FHIRPath", StringComparison.Ordinal));
        Assert.Contains("R-HL-01.json: unknown variable %noSuchVariable", error.Problems);
    }

    [Fact]
    public void ShippedSet_IsKnownByItsDigest()
    {
        var digest = RuleBook.Digest(Directory.EnumerateFiles(Repository.At("profiles", "rules"), "*.json").Select(file => (Path.GetFileName(file), File.ReadAllBytes(file))));

        Assert.True(digest == ShippedRules.Sha256, $"The rules have changed: the digest in {nameof(ShippedRules)} is now {digest}");
    }

    private string Edited(params (string File, string Old, string New)[] changes)
    {
        var rules = Directory.CreateDirectory(Path.Combine(folder, "edited")).FullName;
        foreach (var file in Directory.EnumerateFiles(Repository.At("profiles", "rules"), "*.json"))
        {
            var text = changes.Where(change => change.File == Path.GetFileName(file)).Aggregate(File.ReadAllText(file), (text, change) => text.Replace(change.Old, change.New, StringComparison.Ordinal));
            File.WriteAllText(Path.Combine(rules, Path.GetFileName(file)), text);
        }

        return rules;
    }

    [Fact]
    public async Task BrokenPolicy_StopsTheStartWithEveryProblem()
    {
        var policy = Directory.CreateDirectory(Path.Combine(folder, "policy")).FullName;
        await File.WriteAllTextAsync(Path.Combine(policy, "overlay.json"), """{ "site": "harbour-lane", "name": "Harbour Lane Ear Care", "rules": 3 }""", Stop);
        await using var host = Host(policy);

        var error = await Assert.ThrowsAsync<InvalidRuleBookException>(() => host.StartAsync(Stop));

        Assert.Equal(["overlay.json/base: is missing", "overlay.json/date: is missing", "overlay.json/rules: is not a list"], error.Problems.Order(StringComparer.Ordinal));
    }

    [Fact]
    public async Task PolicyThatIsNotThere_StopsTheStart()
    {
        await using var host = Host(Path.Combine(folder, "none"));

        var error = await Assert.ThrowsAsync<InvalidRuleBookException>(() => host.StartAsync(Stop));

        Assert.StartsWith("there is no folder", Assert.Single(error.Problems), StringComparison.Ordinal);
    }

    private WebApplication Host(string? overlay, string? rules = null, string? candidates = null)
    {
        var data = Path.Combine(folder, "data");
        var configuration = DemoConfiguration.For(new DemoSettings("http://127.0.0.1:5080", data, Once: true, AsJson: false));
        configuration["Rules:Overlay"] = overlay;
        configuration["Rules:Candidates"] = candidates;
        if (rules is not null)
        {
            configuration["Rules:Folder"] = rules;
        }

        return GatewayHost.Build(new HostSettings("http://127.0.0.1:0", data, configuration));
    }
}
