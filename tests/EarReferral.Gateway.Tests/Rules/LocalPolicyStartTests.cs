using System.Net.Http.Json;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Demo;
using EarReferral.Gateway.Hosting;
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

    private WebApplication Host(string overlay)
    {
        var data = Path.Combine(folder, "data");
        var configuration = DemoConfiguration.For(new DemoSettings("http://127.0.0.1:5080", data, Once: true, AsJson: false));
        configuration["Rules:Overlay"] = overlay;
        return GatewayHost.Build(new HostSettings("http://127.0.0.1:0", data, configuration));
    }
}
