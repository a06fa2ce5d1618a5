using System.Text;
using System.Text.Json.Nodes;
using EarReferral.Journeys.Tests.Processes;

namespace EarReferral.Journeys.Tests;

public sealed class RetractionJourneyTests(RunningWorld running) : IClassFixture<RunningWorld>
{
    private const string Phone = "01632 960 107";

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    private World World => running.World;

    [Fact]
    public async Task RetractedAfterDelivery_ThePersonIsToldWhomToPhoneAndTheRecordIsMarked()
    {
        var (document, receipt) = await DeliveredAsync();
        var encounter = (string)receipt["encounter"]!;

        var (status, retraction) = await SendAsync(HttpMethod.Post, encounter + "/retraction", """{"reason":"wrongPatient","person":"Morwenna Tal","text":"Another patient was in the chair."}""");

        Assert.Equal(200, status);
        Assert.True((bool)retraction["phoneNow"]!);
        var ent = retraction["receivedBefore"]!.AsArray().Single(each => (string)each!["kind"]! == "ent")!;
        Assert.Equal(("confirmed", Phone), ((string)ent["known"]!, (string)ent["phone"]!));
        Assert.NotNull(ent["at"]);
        Assert.Equal("noneYet", (string)retraction["correctionReached"]!["state"]!);
        var referral = (string)receipt["referral"]!["id"]!;
        var (_, view) = await World.GetAsync($"/referrals/{referral}", Stop);
        Assert.Equal(("withdrawnAfterSending", "entered-in-error"), ((string)view!["delivery"]!, (string)view["execution"]!));
        var (_, attention) = await World.GetAsync("/attention", Stop);
        Assert.Equal(Phone, (string)attention!["items"]!.AsArray().Single(item => (string?)item!["referralId"] == referral)!["phone"]!);
        var (_, request) = await World.GetAsync($"/fhir/ServiceRequest/{referral}", Stop);
        Assert.Equal("entered-in-error", (string)request!["status"]!);

        document["revision"] = 2;
        document["supersedes"] = JsonNode.Parse("""{"revision":1,"reason":"Late correction","person":"Morwenna Tal"}""");
        var (late, problem) = await SendAsync(HttpMethod.Put, encounter, document.ToJsonString());
        Assert.Equal(409, late);
        Assert.EndsWith("/encounter-retracted", (string)problem["type"]!, StringComparison.Ordinal);
        Assert.True((bool)problem["phoneNow"]!, "what was sent shows a red flag, which a refusal must not swallow");
    }

    [Fact]
    public async Task CorrectionAfterDelivery_SaysWhoHasTheOldContentAndThatNobodyWasTold()
    {
        var (document, receipt) = await DeliveredAsync();
        document["reasonForVisit"] = "Corrected";
        document["revision"] = 2;
        document["supersedes"] = JsonNode.Parse("""{"revision":1,"reason":"Reason was noted wrongly","person":"Morwenna Tal"}""");

        var (status, corrected) = await SendAsync(HttpMethod.Put, (string)receipt["encounter"]!, document.ToJsonString());

        Assert.Null(receipt["receivedBefore"]);
        Assert.Equal(200, status);
        Assert.Equal("noneYet", (string)corrected["correctionReached"]!["state"]!);
        Assert.Contains(corrected["receivedBefore"]!.AsArray(), each => (string)each!["kind"]! == "ent" && (string)each["known"]! == "confirmed");
        var (_, newest) = await World.GetAsync((string)receipt["encounter"]!, Stop);
        Assert.Equal(corrected.ToJsonString(), newest!.ToJsonString());
    }

    private async Task<(JsonObject Document, JsonObject Receipt)> DeliveredAsync()
    {
        var document = World.Fresh("09-");
        var (_, receipt) = await World.PostAsync(document, Stop);
        var referral = (string)receipt["referral"]!["id"]!;
        Assert.True(await World.UntilAsync(async () => (string)(await World.GetAsync($"/referrals/{referral}", Stop)).Body!["delivery"]! == "delivered", Stop));
        return (document, receipt);
    }

    private async Task<(int Status, JsonObject Body)> SendAsync(HttpMethod method, string address, string body)
    {
        using var request = new HttpRequestMessage(method, address) { Content = new StringContent(body, Encoding.UTF8, "application/json") };
        request.Headers.Add("If-Match", "\"1\"");
        using var answer = await World.Http.SendAsync(request, Stop);
        return ((int)answer.StatusCode, JsonNode.Parse(await answer.Content.ReadAsStringAsync(Stop))!.AsObject());
    }
}
