using System.Text;
using System.Text.Json.Nodes;
using EarReferral.Journeys.Tests.Processes;

namespace EarReferral.Journeys.Tests;

/// <summary>
/// What a receiver holds after a delivered referral was corrected or taken back. Conditional update, ServiceRequest.replaces and the
/// task code abort: FHIR R4 http.html, servicerequest.html, task-code; who may change what: Clinical Order Workflows 1.0, core concepts.
/// </summary>
public sealed class CorrectionJourneyTests
{
    private const string System = "https://ear-referral.example/identifier/resource";

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task ReceiverThatUpdates_HoldsTheCorrectionInTheSameResourcesAndItsOwnTask()
    {
        await using var world = await World.StartAsync(Stop);
        var (document, receipt, referral) = await DeliveredAsync(world);
        var before = await HeldAsync(world);
        var temperature = Assert.Single(before["Observation"], each => Value(each) == 36.7m);

        var corrected = await CorrectAsync(world, document, receipt);

        Assert.Equal("queued", (string)corrected["correctionReached"]!["state"]!);
        await ReachedAsync(world, referral, "correction-delivered");
        var after = await HeldAsync(world);
        Assert.Equal(before.ToDictionary(pair => pair.Key, pair => pair.Value.Count), after.ToDictionary(pair => pair.Key, pair => pair.Value.Count));
        Assert.Equal((string)temperature["id"]!, (string)Assert.Single(after["Observation"], each => (string)each["status"]! == "entered-in-error")["id"]!);
        Assert.Contains("thought it was water", after["Encounter"].Single().ToJsonString(), StringComparison.Ordinal);
        Assert.Equal("1", (string)after["Patient"].Single()["meta"]!["versionId"]!);
        Assert.Equal("received", (string)after["Task"].Single()["status"]!);
        var (_, view) = await world.GetAsync($"/referrals/{referral}", Stop);
        Assert.Equal(("delivered", "received"), ((string)view!["delivery"]!, (string)view["execution"]!));
    }

    [Fact]
    public async Task ReceiverThatOnlyCreates_HoldsARequestThatReplacesTheEarlierOneAndReportsOnItsTask()
    {
        await using var world = await World.StartAsync(Stop, updates: "no");
        var (document, receipt, referral) = await DeliveredAsync(world);
        var first = (await HeldAsync(world))["Task"].Single();

        await CorrectAsync(world, document, receipt);

        await ReachedAsync(world, referral, "correction-delivered");
        var held = await HeldAsync(world);
        var request = Assert.Single(held["ServiceRequest"], each => each["replaces"] is not null);
        Assert.Equal((2, referral), (held["ServiceRequest"].Count, (string)request["replaces"]![0]!["identifier"]!["value"]!));
        var abort = Assert.Single(held["Task"], each => each["code"]!["coding"]!.AsArray().Any(coding => (string?)coding!["code"] == "abort"));
        Assert.Equal((3, Identifier(first)), (held["Task"].Count, (string)abort["focus"]!["identifier"]!["value"]!));
        Assert.DoesNotContain(held["Observation"], each => (string)each["status"]! == "entered-in-error");
        Assert.Single(held["Patient"]);

        // The receiver acknowledges the Task that came with the correction by that Task's own identifier; here it is the one Task of the referral.
        Assert.True(await World.UntilAsync(async () => (string?)(await world.GetAsync($"/referrals/{referral}", Stop)).Body!["execution"] == "received", Stop), world.GatewayOutput);
        var (_, tasks) = await world.GetAsync($"/fhir/Task?focus=ServiceRequest/{referral}", Stop);
        var ours = tasks!["entry"]!.AsArray().Single()!["resource"]!.AsObject();
        Assert.Equal(2, ours["identifier"]!.AsArray().Count);

        // A report on the Task that was replaced is kept and not applied.
        var late = ours.DeepClone().AsObject();
        late["identifier"] = new JsonArray(ours["identifier"]![0]!.DeepClone());
        late["status"] = "cancelled";
        late["lastModified"] = DateTimeOffset.UtcNow.AddMinutes(2).ToString("yyyy-MM-dd'T'HH:mm:ss'Z'", global::System.Globalization.CultureInfo.InvariantCulture);
        var (status, outcome) = await PutTaskAsync(world, (string)ours["id"]!, late);
        Assert.True(status == 409, outcome.ToJsonString());
        Assert.Equal("received", (string)(await world.GetAsync($"/referrals/{referral}", Stop)).Body!["execution"]!);
    }

    [Fact]
    public async Task RetractedVisit_IsInErrorAtTheReceiverAndStillMustBePhoned()
    {
        await using var world = await World.StartAsync(Stop);
        var (_, receipt, referral) = await DeliveredAsync(world);
        using var request = new HttpRequestMessage(HttpMethod.Post, (string)receipt["encounter"]! + "/retraction")
        {
            Content = new StringContent("""{"reason":"wrongPatient","person":"Morwenna Tal","text":"Another patient was in the chair."}""", Encoding.UTF8, "application/json"),
        };
        request.Headers.Add("If-Match", "\"1\"");
        using var answer = await world.Http.SendAsync(request, Stop);
        var retraction = JsonNode.Parse(await answer.Content.ReadAsStringAsync(Stop))!;

        Assert.True((bool)retraction["phoneNow"]!, "an error of patient is never told electronically alone");
        Assert.Equal("queued", (string)retraction["correctionReached"]!["state"]!);
        await ReachedAsync(world, referral, "correction-delivered");
        var held = await HeldAsync(world);
        Assert.Equal("entered-in-error", (string)held["ServiceRequest"].Single()["status"]!);
        Assert.All(held["Observation"].Concat(held["Procedure"]).Concat(held["Encounter"]), each => Assert.Equal("entered-in-error", (string)each["status"]!));
        Assert.Equal(2, held["Task"].Count);
        var (_, view) = await world.GetAsync($"/referrals/{referral}", Stop);
        Assert.Equal("withdrawnAfterSending", (string)view!["delivery"]!);
    }

    private static async Task<(JsonObject Document, JsonObject Receipt, string Referral)> DeliveredAsync(World world)
    {
        using var verified = await world.Http.PostAsync(new Uri($"{world.Gateway}/destinations/westerquay-ent/verification"), null, Stop);
        Assert.True(verified.IsSuccessStatusCode, await verified.Content.ReadAsStringAsync(Stop));
        var document = World.Fresh("09-");
        var (_, receipt) = await world.PostAsync(document, Stop);
        var referral = (string)receipt["referral"]!["id"]!;
        Assert.True(await World.UntilAsync(async () => (string?)(await world.GetAsync($"/referrals/{referral}", Stop)).Body!["execution"] == "received", Stop), world.GatewayOutput);
        return (document, receipt, referral);
    }

    private static async Task<JsonObject> CorrectAsync(World world, JsonObject document, JsonObject receipt)
    {
        document["revision"] = 2;
        document["supersedes"] = JsonNode.Parse("""{"revision":1,"reason":"Reason and temperature were noted wrongly","person":"Morwenna Tal"}""");
        document["reasonForVisit"] = "Left ear went dead overnight on 19 March; thought it was water.";
        document["general"]!.AsObject().Remove("temperatureCelsius");
        using var request = new HttpRequestMessage(HttpMethod.Put, (string)receipt["encounter"]!) { Content = new StringContent(document.ToJsonString(), Encoding.UTF8, "application/json") };
        request.Headers.Add("If-Match", "\"1\"");
        using var answer = await world.Http.SendAsync(request, Stop);
        var text = await answer.Content.ReadAsStringAsync(Stop);
        Assert.True(answer.IsSuccessStatusCode, text);
        return JsonNode.Parse(text)!.AsObject();
    }

    private static async Task ReachedAsync(World world, string referral, string kind) => Assert.True(
        await World.UntilAsync(async () => (await world.GetAsync($"/referrals/{referral}", Stop)).Body!["timeline"]!.AsArray().Any(step => (string?)step!["event"] == kind), Stop),
        world.GatewayOutput);

    /// <summary>Everything that the receiver holds of the types that a referral brings, as it answers its own search.</summary>
    private static async Task<Dictionary<string, List<JsonObject>>> HeldAsync(World world)
    {
        var held = new Dictionary<string, List<JsonObject>>(StringComparer.Ordinal);
        foreach (var type in new[] { "Patient", "Encounter", "Observation", "Procedure", "Condition", "ServiceRequest", "Task", "Composition" })
        {
            var (_, found) = await world.GetAsync($"{world.Sandbox}/fhir/{type}", Stop);
            held[type] = [.. (found!["entry"]?.AsArray() ?? []).Select(entry => entry!["resource"]!.AsObject())];
        }

        return held;
    }

    private static async Task<(int Status, JsonNode Body)> PutTaskAsync(World world, string id, JsonObject task)
    {
        using var request = new HttpRequestMessage(HttpMethod.Put, $"{world.Gateway}/fhir/Task/{id}") { Content = new StringContent(task.ToJsonString(), Encoding.UTF8, "application/fhir+json") };
        request.Headers.Add("If-Match", $"W/\"{(string)task["meta"]!["versionId"]!}\"");
        using var answer = await world.Http.SendAsync(request, Stop);
        return ((int)answer.StatusCode, JsonNode.Parse(await answer.Content.ReadAsStringAsync(Stop))!);
    }

    private static string Identifier(JsonObject resource) => (string)resource["identifier"]!.AsArray().First(each => (string?)each!["system"] == System)!["value"]!;

    private static decimal? Value(JsonObject observation) => (decimal?)observation["valueQuantity"]?["value"];
}
