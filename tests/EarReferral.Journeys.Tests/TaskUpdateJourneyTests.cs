using System.Net.Http.Headers;
using System.Text;
using System.Text.Json.Nodes;
using EarReferral.Journeys.Tests.Processes;

namespace EarReferral.Journeys.Tests;

/// <summary>What an ENT system may report on a Task: FHIR R4 Task state machine, and http.html "Managing Resource Contention".</summary>
public sealed class TaskUpdateJourneyTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task ReportsOnATask_AreAppliedOnceRefusedWhenStaleAndKeptWhenUnlawful()
    {
        await using var world = await World.StartAsync(Stop, acknowledgeAfter: "never");
        var (status, receipt) = await world.PostAsync(World.Fresh("09-"), Stop);
        Assert.Equal(201, status);
        var referral = (string)receipt["referral"]!["id"]!;
        Assert.True(await World.UntilAsync(async () => (string?)(await world.GetAsync($"/referrals/{referral}", Stop)).Body!["delivery"] == "delivered", Stop), world.GatewayOutput);
        var (_, found) = await world.GetAsync($"/fhir/Task?focus=ServiceRequest/{referral}", Stop);
        var task = found!["entry"]!.AsArray().Single()!["resource"]!.AsObject();
        var address = new Uri($"{world.Gateway}/fhir/Task/{(string)task["id"]!}");
        var sent = await TagAsync(world, address);

        // Applied, and the same report again is no second one although its If-Match is old by now.
        var accepted = Report(task, "accepted", minutes: 1);
        var (first, answer) = await PutAsync(world, address, accepted, sent);
        Assert.True(first == 200, answer.ToJsonString());
        var moved = await TagAsync(world, address);
        Assert.NotEqual(sent, moved);
        Assert.Equal(200, (await PutAsync(world, address, accepted, sent)).Status);
        Assert.Equal(moved, await TagAsync(world, address));
        Assert.Equal("accepted", (string)(await world.GetAsync($"/referrals/{referral}", Stop)).Body!["execution"]!);

        // Another report that starts from a version that is gone.
        var (stale, outcome) = await PutAsync(world, address, Report(task, "in-progress", minutes: 2), sent);
        Assert.Equal(412, stale);
        Assert.Equal("OperationOutcome", (string)outcome["resourceType"]!);
        Assert.Equal("accepted", (string)(await world.GetAsync($"/referrals/{referral}", Stop)).Body!["execution"]!);

        // Completed and then merely received: no report leads back there (in progress again would be lawful, with an alarm).
        Assert.Equal(200, (await PutAsync(world, address, Report(task, "completed", minutes: 3), moved)).Status);
        var unlawful = Report(task, "received", minutes: 4);
        var mark = $"unlawful-report-{Guid.NewGuid():N}";
        unlawful["note"] = new JsonArray(new JsonObject { ["text"] = mark });
        var (illegal, refusal) = await PutAsync(world, address, unlawful, await TagAsync(world, address));
        Assert.True(illegal == 422, refusal.ToJsonString());
        Assert.Equal("business-rule", (string)refusal["issue"]![0]!["code"]!);
        Assert.Equal("completed", (string)(await world.GetAsync($"/referrals/{referral}", Stop)).Body!["execution"]!);

        // Recorded: the refused report itself lies in the store, for somebody to look at.
        await world.KillGatewayAsync();
        Assert.Contains(mark, await world.StoredTextAsync(Stop), StringComparison.Ordinal);
    }

    [Fact]
    public async Task ReportOnATaskThatIsNotOurs_IsAnsweredNotFoundAndKept()
    {
        await using var world = World.Unstarted();
        await world.StartGatewayAsync(Stop);
        var mark = $"report-on-unknown-task-{Guid.NewGuid():N}";
        var report = JsonNode.Parse($$"""{"resourceType":"Task","id":"7d3c1c1e-0000-4000-8000-000000000000","status":"accepted","intent":"order","lastModified":"2026-03-31T12:00:00Z","note":[{"text":"{{mark}}"}]}""")!.AsObject();

        var (status, _) = await PutAsync(world, new Uri($"{world.Gateway}/fhir/Task/7d3c1c1e-0000-4000-8000-000000000000"), report, "W/\"1\"");

        Assert.Equal(404, status);
        await world.KillGatewayAsync();
        Assert.Contains(mark, await world.StoredTextAsync(Stop), StringComparison.Ordinal);
    }

    /// <summary>The Task as the receiver would report it, some minutes after it was written.</summary>
    private static JsonObject Report(JsonObject task, string status, int minutes)
    {
        var report = task.DeepClone().AsObject();
        report.Remove("meta");
        report["status"] = status;
        report.Remove("businessStatus");
        report["lastModified"] = DateTimeOffset.UtcNow.AddMinutes(minutes).ToString("yyyy-MM-dd'T'HH:mm:ss'Z'", System.Globalization.CultureInfo.InvariantCulture);
        return report;
    }

    private static async Task<string> TagAsync(World world, Uri address)
    {
        using var answer = await world.Http.GetAsync(address, Stop);
        return answer.Headers.ETag!.ToString();
    }

    private static async Task<(int Status, JsonObject Body)> PutAsync(World world, Uri address, JsonObject report, string ifMatch)
    {
        using var request = new HttpRequestMessage(HttpMethod.Put, address) { Content = new StringContent(report.ToJsonString(), Encoding.UTF8, "application/fhir+json") };
        request.Headers.IfMatch.Add(EntityTagHeaderValue.Parse(ifMatch));
        using var answer = await world.Http.SendAsync(request, Stop);
        return ((int)answer.StatusCode, JsonNode.Parse(await answer.Content.ReadAsStringAsync(Stop))!.AsObject());
    }
}
