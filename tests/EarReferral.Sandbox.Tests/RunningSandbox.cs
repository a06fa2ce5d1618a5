using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using Microsoft.AspNetCore.Builder;

namespace EarReferral.Sandbox.Tests;

/// <summary>A sandbox on a free port with a folder of its own, which a test can stop and start again.</summary>
internal sealed class RunningSandbox : IAsyncDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("ear-sandbox-").FullName;
    private SandboxOptions options;
    private WebApplication? application;
    private HttpClient http = new();

    private RunningSandbox(Func<SandboxOptions, SandboxOptions>? change)
    {
        var plain = new SandboxOptions([new Uri("http://127.0.0.1:0")], folder, null, null, null);
        options = change is null ? plain : change(plain);
    }

    public string JournalPath => Path.Combine(folder, "received.jsonl");

    public SandboxOptions Options => options;

    public Uri Address => http.BaseAddress!;

    public static async Task<RunningSandbox> StartAsync(Func<SandboxOptions, SandboxOptions>? change = null)
    {
        var sandbox = new RunningSandbox(change);
        await sandbox.StartAgainAsync();
        return sandbox;
    }

    public async Task StopAsync()
    {
        if (application is not null)
        {
            await application.DisposeAsync();
            application = null;
        }
    }

    public async Task StartAgainAsync(Func<SandboxOptions, SandboxOptions>? change = null)
    {
        options = change is null ? options : change(options);
        application = SandboxApplication.Build(options, TimeProvider.System);
        await application.StartAsync(TestContext.Current.CancellationToken);
        http.Dispose();
        http = new HttpClient { BaseAddress = new Uri(application.Urls.Single()) };
    }

    public async Task<(HttpStatusCode Status, JsonObject Body)> PostAsync(JsonObject bundle)
    {
        using var answer = await PostRawAsync(bundle.ToJsonString());
        return (answer.StatusCode, await ObjectAsync(answer));
    }

    public Task<HttpResponseMessage> PostRawAsync(string body, string mediaType = "application/fhir+json") =>
        http.PostAsync("/fhir", new StringContent(body, Encoding.UTF8, mediaType), TestContext.Current.CancellationToken);

    public async Task<(HttpStatusCode Status, JsonObject Body)> GetAsync(string path)
    {
        using var answer = await http.GetAsync(path, TestContext.Current.CancellationToken);
        return (answer.StatusCode, await ObjectAsync(answer));
    }

    public async Task<(HttpStatusCode Status, JsonObject Body)> SearchByFormAsync(string type, string identifier)
    {
        using var form = new FormUrlEncodedContent([KeyValuePair.Create("identifier", identifier)]);
        using var answer = await http.PostAsync($"/fhir/{type}/_search", form, TestContext.Current.CancellationToken);
        return (answer.StatusCode, await ObjectAsync(answer));
    }

    public async Task<HttpStatusCode> FaultAsync(string plan)
    {
        using var answer = await http.PostAsync("/sandbox/faults", new StringContent(plan, Encoding.UTF8, "application/json"), TestContext.Current.CancellationToken);
        return answer.StatusCode;
    }

    public async Task ResetAsync()
    {
        using var answer = await http.PostAsync("/sandbox/reset", null, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.NoContent, answer.StatusCode);
    }

    /// <summary>How many resources of a type the sandbox says it holds.</summary>
    public async Task<int> CountAsync(string type) => (int?)(await GetAsync("/sandbox/received")).Body["counts"]![type] ?? 0;

    public async ValueTask DisposeAsync()
    {
        await StopAsync();
        http.Dispose();
        Directory.Delete(folder, recursive: true);
    }

    private static async Task<JsonObject> ObjectAsync(HttpResponseMessage answer) =>
        JsonNode.Parse(await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken))!.AsObject();
}
