using System.Collections.Concurrent;
using System.Text.Json.Nodes;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Http;

namespace EarReferral.Sandbox.Tests;

/// <summary>A gateway of one Task that keeps versions and can be told to fail; it speaks HTTP, so nothing of ours is pretended.</summary>
internal sealed class GatewayStandIn : IAsyncDisposable
{
    private readonly Lock gate = new();
    private readonly WebApplication application;
    private JsonObject task;
    private int version = 1;
    private int failures;

    private GatewayStandIn(string status, int failures)
    {
        this.failures = failures;
        task = ReferralBundle.Task("a")["resource"]!.DeepClone().AsObject();
        task["id"] = "t-1";
        task["status"] = status;
        var builder = WebApplication.CreateSlimBuilder();
        builder.WebHost.UseUrls("http://127.0.0.1:0");
        application = builder.Build();
        application.MapGet("/fhir/Task", Search);
        application.MapPut("/fhir/Task/t-1", (Delegate)PutAsync);
    }

    /// <summary>Every status the Task was put to, with the If-Match it came with.</summary>
    public ConcurrentQueue<string> Updates { get; } = [];

    public Uri Callback => new($"{application.Urls.Single()}/fhir");

    public static async Task<GatewayStandIn> StartAsync(string status = "requested", int failures = 0)
    {
        var gateway = new GatewayStandIn(status, failures);
        await gateway.application.StartAsync(TestContext.Current.CancellationToken);
        return gateway;
    }

    public async Task WaitForAsync(int updates)
    {
        using var patience = CancellationTokenSource.CreateLinkedTokenSource(TestContext.Current.CancellationToken);
        patience.CancelAfter(TimeSpan.FromSeconds(20));
        while (Updates.Count < updates)
        {
            await Task.Delay(50, patience.Token);
        }
    }

    public ValueTask DisposeAsync() => application.DisposeAsync();

    private IResult Search(string identifier)
    {
        lock (gate)
        {
            if (failures-- > 0)
            {
                return Results.StatusCode(503);
            }

            Assert.Equal($"{ReferralBundle.System}|a-task", identifier);
            task["meta"] = new JsonObject { ["versionId"] = $"{version}" };
            var bundle = new JsonObject { ["resourceType"] = "Bundle", ["type"] = "searchset", ["entry"] = new JsonArray(new JsonObject { ["resource"] = task.DeepClone() }) };
            return Results.Content(bundle.ToJsonString(), "application/fhir+json");
        }
    }

    private async Task<IResult> PutAsync(HttpContext context)
    {
        using var reader = new StreamReader(context.Request.Body);
        var sent = JsonNode.Parse(await reader.ReadToEndAsync(context.RequestAborted))!.AsObject();
        lock (gate)
        {
            if (context.Request.Headers.IfMatch != $"W/\"{version}\"")
            {
                return Results.StatusCode(412);
            }

            task = sent;
            version++;
            Updates.Enqueue($"{(string?)sent["status"]} {(string?)sent["businessStatus"]!["coding"]![0]!["code"]} {context.Request.Headers.IfMatch}");
            return Results.Content(task.ToJsonString(), "application/fhir+json");
        }
    }
}
