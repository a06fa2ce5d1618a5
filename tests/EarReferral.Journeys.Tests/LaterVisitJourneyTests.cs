using System.Text;
using System.Text.Json.Nodes;
using EarReferral.Journeys.Tests.Processes;

namespace EarReferral.Journeys.Tests;

/// <summary>
/// A patient who comes again while a referral is open: told, replaced or beside it, and the receipt says which (decision 0029; our own
/// rule, no source; ServiceRequest.replaces: FHIR R4 servicerequest.html).
/// </summary>
public sealed class LaterVisitJourneyTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task SameReasonAndTier_MakesNoSecondReferralAndTheReceiverCanReadOfIt()
    {
        await using var world = await World.StartAsync(Stop);
        var first = await OpenAsync(world, World.Fresh("12-"));

        var (_, second) = await world.PostAsync(World.Fresh("12-"), Stop);

        Assert.Equal(("adds", first), ((string)second["openReferral"]!["relation"]!, (string)second["openReferral"]!["id"]!));
        Assert.Null(second["referral"]);
        Assert.Contains(second["decision"]!["fired"]!.AsArray(), rule => (string)rule!["tier"]! == "T2");
        Assert.All(second["decision"]!["answers"]!.AsArray(), answer => Assert.Contains("the referral gateway", (string)answer!["text"]!, StringComparison.Ordinal));
        Assert.Contains("already referred to Westerquay General", (string)second["decision"]!["tellPatient"]!, StringComparison.Ordinal);
        Assert.Contains("later-visit", await TimelineAsync(world, first));
        var (_, told) = await world.GetAsync($"/fhir/Communication?based-on=ServiceRequest/{first}", Stop);
        var note = Assert.Single(told!["entry"]!.AsArray())!["resource"]!;
        Assert.Contains("seen again", (string)note["payload"]![0]!["contentString"]!, StringComparison.Ordinal);
        Assert.Single((await world.GetAsync("/referrals", Stop)).Body!["items"]!.AsArray());

        // The visit stays tied to it when the referral is over, or a correction of a slip would refer the patient anew.
        await CloseAsync(world, first);
        var corrected = await CorrectAsync(world, second, World.Fresh("12-"), document => document["reasonForVisit"] = "Foul discharge again.");
        Assert.Equal(("adds", first), ((string)corrected["openReferral"]!["relation"]!, (string)corrected["openReferral"]!["id"]!));
        Assert.Null(corrected["referral"]);
    }

    [Fact]
    public async Task MoreUrgentVisit_IsReferredInPlaceOfTheOpenOneWhichStaysUntilAClinicianClosesIt()
    {
        await using var world = await World.StartAsync(Stop);
        var first = await OpenAsync(world, World.Fresh("12-"));
        var worse = World.Fresh("12-");
        worse["tierOverride"] = JsonNode.Parse("""{"tier":"t1","reason":"Much worse than last week","person":"Morwenna Tal"}""");
        worse["tierOverride"]!["at"] = worse["evaluationInstant"]!.DeepClone();

        var (status, second) = await world.PostAsync(worse, Stop);

        Assert.True(status == 201, second.ToJsonString());
        Assert.Equal(("replaces", first), ((string)second["openReferral"]!["relation"]!, (string)second["openReferral"]!["id"]!));
        Assert.True((bool)second["phoneNow"]!);
        var newer = (string)second["referral"]!["id"]!;
        Assert.True(await World.UntilAsync(async () => await world.AtReceiverAsync("ServiceRequest", newer, Stop) == 1, Stop), world.GatewayOutput);
        var (_, held) = await world.GetAsync($"{world.Sandbox}/fhir/ServiceRequest?identifier={Uri.EscapeDataString($"https://ear-referral.example/identifier/resource|{newer}")}", Stop);
        Assert.Equal(first, (string)held!["entry"]![0]!["resource"]!["replaces"]![0]!["identifier"]!["value"]!);
        var (_, view) = await world.GetAsync($"/referrals/{first}", Stop);
        Assert.EndsWith(newer, (string)view!["replacedBy"]!, StringComparison.Ordinal);
        Assert.NotEqual("closed", (string)view["delivery"]!);
        Assert.Contains(await MattersAsync(world), matter => ((string?)matter["referralId"], (string)matter["kind"]!) == (first, "referralReplaced"));

        await CloseAsync(world, first, "referredElsewhere");
        Assert.DoesNotContain(await MattersAsync(world), matter => (string)matter["kind"]! == "referralReplaced");
    }

    [Fact]
    public async Task EmergencyThatIsFoundAgain_IsNeverOnlyAdded()
    {
        await using var world = await World.StartAsync(Stop);
        var first = await OpenAsync(world, World.Fresh("09-"));

        var (_, second) = await world.PostAsync(World.Fresh("09-"), Stop);

        Assert.Equal(("replaces", first), ((string)second["openReferral"]!["relation"]!, (string)second["openReferral"]!["id"]!));
        Assert.True((bool)second["phoneNow"]!);
        Assert.NotEqual(first, (string)second["referral"]!["id"]!);
    }

    [Fact]
    public async Task AnotherReason_HasAReferralOfItsOwnBesideTheOpenOne()
    {
        await using var world = await World.StartAsync(Stop);
        var first = await OpenAsync(world, World.Fresh("12-"));
        var other = World.Fresh("13-");
        other["patient"] = World.Example("12-")["patient"]!.DeepClone();

        var (_, second) = await world.PostAsync(other, Stop);

        Assert.Equal(("separate", first), ((string)second["openReferral"]!["relation"]!, (string)second["openReferral"]!["id"]!));
        var newer = (string)second["referral"]!["id"]!;
        var (_, request) = await world.GetAsync($"/fhir/ServiceRequest/{newer}", Stop);
        Assert.Null(request!["replaces"]);
        Assert.Contains(request["note"]!.AsArray(), note => ((string)note!["text"]!).Contains(first, StringComparison.Ordinal));
        Assert.DoesNotContain("later-visit", await TimelineAsync(world, first));
    }

    [Fact]
    public async Task ReplacingVisitThatIsTakenBack_LeavesTheEarlierReferralStandingAlone()
    {
        await using var world = await World.StartAsync(Stop);
        var first = await OpenAsync(world, World.Fresh("09-"));
        var (_, second) = await world.PostAsync(World.Fresh("09-"), Stop);
        using var request = new HttpRequestMessage(HttpMethod.Post, (string)second["encounter"]! + "/retraction")
        {
            Content = new StringContent("""{"reason":"wrongPatient","person":"Morwenna Tal","text":"Another patient was in the chair."}""", Encoding.UTF8, "application/json"),
        };
        request.Headers.Add("If-Match", "\"1\"");

        using var answer = await world.Http.SendAsync(request, Stop);

        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync(Stop));
        var (_, view) = await world.GetAsync($"/referrals/{first}", Stop);
        Assert.Null(view!["replacedBy"]);
        Assert.Contains("later-visit-taken-back", await TimelineAsync(world, first));
    }

    [Fact]
    public async Task PatientWhoObjectsToTheReceiver_IsNotToldOfThereAndHasAHeldReferral()
    {
        await using var world = await World.StartAsync(Stop);
        var first = await OpenAsync(world, World.Fresh("12-"));
        var objecting = World.Fresh("12-");
        objecting["consent"]!["sharingWithEnt"] = "no";

        var (_, second) = await world.PostAsync(objecting, Stop);

        Assert.Null(second["openReferral"]);
        Assert.NotNull(second["referral"]);
        Assert.DoesNotContain("later-visit", await TimelineAsync(world, first));
        var (_, told) = await world.GetAsync($"/fhir/Communication?based-on=ServiceRequest/{first}", Stop);
        Assert.Null(told!["entry"]);
    }

    private static async Task<string> OpenAsync(World world, JsonObject document)
    {
        var (_, receipt) = await world.PostAsync(document, Stop);
        Assert.Null(receipt["openReferral"]);
        return (string)receipt["referral"]!["id"]!;
    }

    private static async Task<IReadOnlyList<string>> TimelineAsync(World world, string referral) =>
        [.. (await world.GetAsync($"/referrals/{referral}", Stop)).Body!["timeline"]!.AsArray().Select(line => (string)line!["event"]!)];

    private static async Task<IReadOnlyList<JsonObject>> MattersAsync(World world) =>
        [.. (await world.GetAsync("/attention", Stop)).Body!["items"]!.AsArray().Select(item => item!.AsObject())];

    private static async Task CloseAsync(World world, string referral, string reason = "outcomeRead")
    {
        // What the receiver reports meanwhile changes the tag; then it is read again, as a client does.
        Assert.True(await World.UntilAsync(
            async () =>
            {
                using var read = await world.Http.GetAsync(new Uri($"{world.Gateway}/referrals/{referral}"), Stop);
                using var request = new HttpRequestMessage(HttpMethod.Post, $"{world.Gateway}/referrals/{referral}/closure")
                {
                    Content = new StringContent($$"""{"person":"Morwenna Tal","role":"audiologist","reason":"{{reason}}","text":"Read.","told":"The booking office"}""", Encoding.UTF8, "application/json"),
                };
                request.Headers.Add("If-Match", read.Headers.ETag!.ToString());
                using var answer = await world.Http.SendAsync(request, Stop);
                return answer.IsSuccessStatusCode;
            },
            Stop), world.GatewayOutput);
    }

    private static async Task<JsonObject> CorrectAsync(World world, JsonObject receipt, JsonObject document, Action<JsonObject> change)
    {
        document["encounterId"] = (string)receipt["encounterId"]!;
        document["revision"] = 2;
        document["supersedes"] = JsonNode.Parse("""{"revision":1,"reason":"Reason was noted wrongly","person":"Morwenna Tal"}""");
        change(document);
        using var request = new HttpRequestMessage(HttpMethod.Put, (string)receipt["encounter"]!) { Content = new StringContent(document.ToJsonString(), Encoding.UTF8, "application/json") };
        request.Headers.Add("If-Match", "\"1\"");
        using var answer = await world.Http.SendAsync(request, Stop);
        var text = await answer.Content.ReadAsStringAsync(Stop);
        Assert.True(answer.IsSuccessStatusCode, text);
        return JsonNode.Parse(text)!.AsObject();
    }
}
