using System.Net.Http.Json;
using System.Text;
using System.Text.Json.Nodes;
using EarReferral.Gateway.CommandLine;
using EarReferral.Gateway.Hosting;

namespace EarReferral.Gateway.Demo;

/// <summary>The main job from end to end over real HTTP: every example in, every referral out, one summary back.</summary>
internal static class DemoRun
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(60);

    /// <summary>Runs the demo and returns the exit code.</summary>
    public static async Task<int> RunAsync(DemoSettings settings, CancellationToken stop)
    {
        using var http = new HttpClient { Timeout = TimeSpan.FromSeconds(30) };
        Directory.CreateDirectory(settings.DataFolder);
        await Console.Error.WriteLineAsync($"State is kept in {settings.DataFolder}");
        await using var sandbox = await SandboxProcess.StartAsync(settings.SandboxUrl, Path.Combine(settings.DataFolder, "ent"), $"{settings.Url}/fhir", http, stop);
        if (sandbox is null)
        {
            await Console.Error.WriteLineAsync($"The stand-in ENT receiver did not start on {settings.SandboxUrl}. Is the port taken? Choose another with --urls.");
            return ExitCode.Failed;
        }

        await using var gateway = GatewayHost.Build(new HostSettings(settings.Url, settings.DataFolder, DemoConfiguration.For(settings)));
        await gateway.StartAsync(stop);
        if (!await IsReadyAsync(settings, http, stop))
        {
            await Console.Error.WriteLineAsync("The gateway did not become ready within a minute.");
            return ExitCode.Failed;
        }

        var results = await SendAllAsync(settings, http, gateway.Services.GetRequiredService<TimeProvider>(), stop);
        DemoReport.Print(settings, results, await OneSummaryAsync(results, http, stop));
        var worked = results.All(result => result.AsStated);
        if (!settings.Once)
        {
            DemoReport.PrintAddresses(settings);
            await gateway.WaitForShutdownAsync(stop);
        }

        await gateway.StopAsync(CancellationToken.None);
        return worked ? ExitCode.Done : ExitCode.Failed;
    }

    private static async Task<bool> IsReadyAsync(DemoSettings settings, HttpClient http, CancellationToken stop)
    {
        for (var attempt = 0; attempt < 240; attempt++)
        {
            using var answer = await http.GetAsync(new Uri($"{settings.Url}/health/ready"), stop);
            if (answer.IsSuccessStatusCode)
            {
                return true;
            }

            await Task.Delay(TimeSpan.FromMilliseconds(250), stop);
        }

        return false;
    }

    private static async Task<IReadOnlyList<ExampleResult>> SendAllAsync(DemoSettings settings, HttpClient http, TimeProvider clock, CancellationToken stop)
    {
        var results = new List<ExampleResult>();
        foreach (var example in Example.All())
        {
            results.Add(await PostAsync(settings, example, http, clock, stop));
        }

        var until = clock.GetTimestamp();
        while (clock.GetElapsedTime(until) < Patience && results.Exists(result => result.ReferralId is not null && !(result.AtReceiver == 1 && result.Acknowledged)))
        {
            await Task.Delay(TimeSpan.FromMilliseconds(300), stop);
            for (var index = 0; index < results.Count; index++)
            {
                results[index] = await ReadBackAsync(settings, results[index], http, stop);
            }
        }

        return results;
    }

    private static async Task<ExampleResult> PostAsync(DemoSettings settings, Example example, HttpClient http, TimeProvider clock, CancellationToken stop)
    {
        var document = ExampleRebase.To(example.Encounter, clock.GetUtcNow());
        using var body = new StringContent(document.ToJsonString(), Encoding.UTF8, "application/json");
        using var answer = await http.PostAsync(new Uri($"{settings.Url}/encounters"), body, stop);
        var receipt = await answer.Content.ReadFromJsonAsync<JsonObject>(stop);
        if (!answer.IsSuccessStatusCode)
        {
            await Console.Error.WriteLineAsync($"{example.Name}: {(int)answer.StatusCode} {receipt?["errors"]?.ToJsonString() ?? (string?)receipt?["detail"]}");
            return new ExampleResult { Name = example.Name, ExpectedTier = example.Tier, ExpectedReferral = example.Referral, Status = (int)answer.StatusCode };
        }

        var decision = receipt!["decision"]!;
        var fired = decision["fired"]!.AsArray().Select(rule => (string)rule!["rule"]!).Distinct().ToHashSet();
        var difference = example.Rules.Except(fired).Select(rule => "-" + rule).Concat(fired.Except(example.Rules).Order(StringComparer.Ordinal).Select(rule => "+" + rule));
        return new ExampleResult
        {
            Name = example.Name,
            ExpectedTier = example.Tier,
            ExpectedReferral = example.Referral,
            Status = (int)answer.StatusCode,
            Tier = (string)decision["tier"]!,
            RuleDifference = string.Join(' ', difference),
            Valid = (string)receipt["state"]! != "quarantined",
            Resources = receipt["resources"]!.AsObject().Sum(count => (int)count.Value!),
            ReferralId = (string?)receipt["referral"]?["id"],
            Summary = receipt["summary"] is { } summary ? new Uri((string)summary!) : null,
        };
    }

    private static async Task<ExampleResult> ReadBackAsync(DemoSettings settings, ExampleResult result, HttpClient http, CancellationToken stop)
    {
        if (result.ReferralId is null || (result.AtReceiver == 1 && result.Acknowledged))
        {
            return result;
        }

        var identifier = Uri.EscapeDataString($"https://ear-referral.example/identifier/resource|{result.ReferralId}");
        var found = await http.GetFromJsonAsync<JsonObject>(new Uri($"{settings.SandboxUrl}/fhir/ServiceRequest?identifier={identifier}"), stop);
        var referral = await http.GetFromJsonAsync<JsonObject>(new Uri($"{settings.Url}/referrals/{result.ReferralId}"), stop);
        return result with
        {
            AtReceiver = found!["entry"]?.AsArray().Count ?? 0,
            Acknowledged = (string?)referral!["execution"] is "received" or "accepted",
        };
    }

    private static async Task<JsonObject?> OneSummaryAsync(IReadOnlyList<ExampleResult> results, HttpClient http, CancellationToken stop)
    {
        var summary = results.FirstOrDefault(result => result.Summary is not null && result.Tier is "T1" or "T2")?.Summary;
        return summary is null ? null : await http.GetFromJsonAsync<JsonObject>(summary, stop);
    }
}
