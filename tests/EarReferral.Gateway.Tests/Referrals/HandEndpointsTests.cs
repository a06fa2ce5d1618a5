using System.Net;
using System.Net.Http.Json;
using System.Text.Json.Nodes;

namespace EarReferral.Gateway.Tests.Referrals;

/// <summary>Answers that come by telephone, letter or e-mail. What may follow what: the matrix of TaskTransitions.</summary>
public sealed class HandEndpointsTests(RunningGateway gateway) : IClassFixture<RunningGateway>
{
    private static int destinations;

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task ReferralWithoutAnyElectronicAnswer_IsFollowedToItsEndAndClosed()
    {
        var (id, taskId) = await DeliveredAsync();

        Assert.Equal(HttpStatusCode.OK, (await CallAsync(id, "taken")).Status);
        foreach (var (answer, execution, business) in new[]
        {
            ("received", "received", "under-triage"), ("moreWanted", "received", "awaiting-information"), ("accepted", "accepted", "accepted"),
            ("booked", "accepted", "visit-scheduled"), ("didNotAttend", "accepted", "did-not-attend"), ("booked", "accepted", "visit-scheduled"), ("seen", "completed", "awaiting-report"),
        })
        {
            var (status, body) = await AnswerAsync(id, answer);
            Assert.Equal((HttpStatusCode.OK, execution, business), (status, (string?)body["execution"], (string?)body["businessStatus"]));
        }

        using var view = await gateway.Client.GetAsync(new Uri($"/referrals/{id}", UriKind.Relative), Stop);
        var task = JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri($"/fhir/Task/{taskId}", UriKind.Relative), Stop))!;
        var closed = await PostAsync($"/referrals/{id}/closure", new { person = "Morwenna Tal", role = "audiologist", reason = "outcomeRead", text = "Letter read." }, view.Headers.ETag!.Tag);

        Assert.Equal((HttpStatusCode.OK, "closed"), (closed.Status, (string?)closed.Body["delivery"]));
        Assert.Equal("ENT secretary (written by Morwenna Tal)", (string?)task["note"]![0]!["authorString"]);
    }

    [Fact]
    public async Task ReturnedReferral_KeepsTheReasonAndWaitsForAClinician()
    {
        var (id, taskId) = await DeliveredAsync();

        var (status, body) = await AnswerAsync(id, "returned");
        var task = JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri($"/fhir/Task/{taskId}", UriKind.Relative), Stop))!;

        Assert.Equal((HttpStatusCode.OK, "rejected"), (status, (string?)body["execution"]));
        Assert.Equal("They want an audiogram.", (string?)task["statusReason"]!["text"]);
        Assert.DoesNotContain("audiogram", body["timeline"]!.ToJsonString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task AnswerThatTheMatrixForbids_ChangesNothing()
    {
        var (id, _) = await DeliveredAsync();

        var (status, body) = await AnswerAsync(id, "seen");

        Assert.Equal((HttpStatusCode.Conflict, "https://ear-referral.example/problems/illegal-transition"), (status, (string?)body["type"]));
        Assert.Equal("requested", (string?)(await ReadAsync(id))["execution"]);
    }

    [Fact]
    public async Task SameAnswerAgain_IsRecordedOnce()
    {
        var (id, _) = await DeliveredAsync();
        var answer = new { answer = "received", channel = "letter", saidBy = "ENT secretary", person = "Morwenna Tal", at = "2026-03-02T12:00:00Z" };

        await PostAsync($"/referrals/{id}/answers-by-hand", answer);
        var (status, body) = await PostAsync($"/referrals/{id}/answers-by-hand", answer);

        Assert.Equal(HttpStatusCode.OK, status);
        Assert.Single(body["timeline"]!.AsArray(), line => (string?)line!["event"] == "task-updated");
    }

    [Theory]
    [InlineData("taken", true)]
    [InlineData("callBack", false)] // nobody has taken it
    [InlineData("notReached", false)]
    public async Task OnlyACallThatWasTaken_StopsTheClockOfTheDelivery(string outcome, bool stops)
    {
        var (id, _) = await gateway.StoreAsync(NewDestination()); // decided months ago and never delivered
        Assert.Contains("deliver", await ExpiredAsync(id));

        var (status, _) = await CallAsync(id, outcome);

        Assert.Equal(HttpStatusCode.OK, status);
        Assert.Equal(!stops, (await ExpiredAsync(id)).Contains("deliver"));
    }

    [Fact]
    public async Task IncompleteRecords_GetEveryProblem()
    {
        var (id, _) = await DeliveredAsync();

        var answer = await PostAsync($"/referrals/{id}/answers-by-hand", new { answer = "perhaps", at = "2999-01-01T00:00:00Z" });
        var reason = await PostAsync($"/referrals/{id}/answers-by-hand", new { answer = "returned", channel = "phone", saidBy = "x", person = "y", at = "2026-03-02T12:00:00Z" });
        var call = await PostAsync($"/referrals/{id}/calls", new { outcome = "rang" });

        Assert.Equal(["hand.answer-unknown", "hand.channel-unknown", "hand.said-by-missing", "hand.person-missing", "hand.time-missing"], Ids(answer));
        Assert.Equal(["hand.reason-missing"], Ids(reason));
        Assert.Equal(["hand.person-missing", "hand.said-by-missing", "hand.time-missing", "call.outcome-unknown"], Ids(call));
    }

    private static string NewDestination() => $"hand-test-{Interlocked.Increment(ref destinations)}";

    private static IEnumerable<string?> Ids((HttpStatusCode Status, JsonObject Body) answer) => answer.Body["errors"]!.AsArray().Select(error => (string?)error!["id"]);

    private async Task<(string Id, string TaskId)> DeliveredAsync()
    {
        var destination = NewDestination();
        var ids = await gateway.StoreAsync(destination);
        await gateway.DeliverAsync(await gateway.ClaimAsync(destination));
        return ids;
    }

    private Task<(HttpStatusCode Status, JsonObject Body)> AnswerAsync(string id, string answer) => PostAsync(
        $"/referrals/{id}/answers-by-hand",
        new { answer, channel = "phone", saidBy = "ENT secretary", person = "Morwenna Tal", at = TimeProvider.System.GetUtcNow().AddSeconds(-Interlocked.Increment(ref destinations)), reason = "They want an audiogram." });

    private Task<(HttpStatusCode Status, JsonObject Body)> CallAsync(string id, string outcome) =>
        PostAsync($"/referrals/{id}/calls", new { outcome, person = "Morwenna Tal", saidBy = "ENT registrar", at = "2026-03-02T10:05:00Z" });

    private async Task<List<string?>> ExpiredAsync(string id) =>
        [.. JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri("/attention", UriKind.Relative), Stop))!["items"]!.AsArray()
            .Where(matter => (string?)matter!["referralId"] == id && (string?)matter["kind"] == "clockExpired")
            .Select(matter => (string?)matter!["clock"])];

    private async Task<JsonObject> ReadAsync(string id) => JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri($"/referrals/{id}", UriKind.Relative), Stop))!.AsObject();

    private async Task<(HttpStatusCode Status, JsonObject Body)> PostAsync(string path, object body, string? ifMatch = null)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, new Uri(path, UriKind.Relative)) { Content = JsonContent.Create(body) };
        if (ifMatch is not null)
        {
            request.Headers.Add("If-Match", ifMatch);
        }

        using var response = await gateway.Client.SendAsync(request, Stop);
        return (response.StatusCode, JsonNode.Parse(await response.Content.ReadAsStringAsync(Stop))!.AsObject());
    }
}
