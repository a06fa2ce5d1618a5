using System.Net;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Fhir;
using EarReferral.Storage;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Referrals;
using FhirTask = Hl7.Fhir.Model.Task;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Gateway.Tests.Referrals;

/// <summary>Statuses: RFC 9110 13.1.1 (412) and RFC 6585 3 (428). Who may cancel what: the matrix of TaskTransitions.</summary>
public sealed class ClosureEndpointTests(RunningGateway gateway) : IClassFixture<RunningGateway>
{
    private static readonly object Untold = new { person = "Morwenna Tal", role = "audiologist", reason = "treatedElsewhere", text = "Seen at another hospital." };
    private static readonly object Told = new { person = "Morwenna Tal", role = "audiologist", reason = "treatedElsewhere", text = "Seen at another hospital.", told = "the ENT secretary" };
    private static int destinations;

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task ReferralThatNobodyHas_IsClosedByNameRoleAndReason()
    {
        var (id, _) = await gateway.StoreAsync(NewDestination());

        var (status, body) = await CloseAsync(id, Untold);
        var audit = await AuditOfAsync(id);
        var request = await ReadAsync($"/fhir/ServiceRequest/{id}");

        Assert.Equal(HttpStatusCode.OK, status);
        Assert.Equal(("closed", "cancelled", false), ((string)body["delivery"]!, (string)body["execution"]!, (bool)body["phoneNow"]!));
        Assert.Equal("treatedElsewhere: closed by Morwenna Tal, audiologist.", (string)Line(body, "closed")!["detail"]!);
        Assert.Contains("closure: treatedElsewhere, by Morwenna Tal, audiologist", audit);
        Assert.Equal(("revoked", "treatedElsewhere: Seen at another hospital."), ((string)request["status"]!, (string)request["note"]![0]!["text"]!));
        AssertProblem(HttpStatusCode.Conflict, "referral-closed", await CloseAsync(id, Untold));
        AssertProblem(HttpStatusCode.Conflict, "not-replayable", await SendAsync(HttpMethod.Post, $"/referrals/{id}/replay", new { }, null));
    }

    [Theory]
    [InlineData(null, HttpStatusCode.PreconditionRequired, "if-match-required")]
    [InlineData("\"7\"", HttpStatusCode.PreconditionFailed, "stale")]
    public async Task WithoutTheRightIfMatch_NothingIsClosed(string? ifMatch, HttpStatusCode status, string type)
    {
        var (id, _) = await gateway.StoreAsync(NewDestination());

        AssertProblem(status, type, await SendAsync(HttpMethod.Post, $"/referrals/{id}/closure", Untold, ifMatch));

        Assert.Equal("waiting", (string)(await ReadAsync($"/referrals/{id}"))["delivery"]!);
    }

    [Fact]
    public async Task IncompleteClosure_GetsEveryProblem()
    {
        var (id, _) = await gateway.StoreAsync(NewDestination());

        var (status, body) = await CloseAsync(id, new { reason = "becauseIWant", told = " " });

        Assert.Equal(HttpStatusCode.UnprocessableEntity, status);
        Assert.Equal(
            ["closure.person-missing", "closure.role-missing", "closure.reason-unknown", "closure.text-missing", "closure.told-missing"],
            body["errors"]!.AsArray().Select(error => (string)error!["id"]!));
    }

    [Fact]
    public async Task ReferralThatIsNotThere_IsNotFound() =>
        AssertProblem(HttpStatusCode.NotFound, "not-found", await SendAsync(HttpMethod.Post, $"/referrals/{Guid.NewGuid()}/closure", Untold, "\"1\""));

    [Fact]
    public async Task WhileItIsBeingSent_ItIsNotClosed()
    {
        var (id, _) = await StoreClaimedAsync(deliver: false);

        AssertProblem(HttpStatusCode.Conflict, "attempt-under-way", await CloseAsync(id, Told));
    }

    [Fact]
    public async Task ReceiverThatHasItAndHasNotEndedIt_MustHaveBeenTold()
    {
        var (id, _) = await StoreClaimedAsync();

        var (status, refusal) = await CloseAsync(id, Untold);
        var closed = await CloseAsync(id, Told);

        Assert.Equal((HttpStatusCode.UnprocessableEntity, "closure.told-missing"), (status, (string)refusal["errors"]![0]!["id"]!));
        Assert.Equal(HttpStatusCode.OK, closed.Status);
        Assert.EndsWith("Told: the ENT secretary.", (string)Line(closed.Body, "closed")!["detail"]!, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(FhirTask.TaskStatus.InProgress)]
    [InlineData(FhirTask.TaskStatus.OnHold)]
    public async Task WorkUnderWay_IsTheReceiversToEnd(FhirTask.TaskStatus status)
    {
        var (id, taskId) = await StoreClaimedAsync();
        await ReportAsync(id, taskId, FhirTask.TaskStatus.Accepted);
        await ReportAsync(id, taskId, status);

        AssertProblem(HttpStatusCode.Conflict, "work-under-way", await CloseAsync(id, Told));
    }

    [Fact]
    public async Task WorkThatTheReceiverEnded_IsClosedAsItEndedAndStaysOnTheListUntilThen()
    {
        var (id, taskId) = await StoreClaimedAsync();
        await ReportAsync(id, taskId, FhirTask.TaskStatus.Rejected);
        Assert.Contains("referralToClose", await MattersAsync(id));

        var (status, body) = await CloseAsync(id, Untold);

        Assert.Equal((HttpStatusCode.OK, "rejected"), (status, (string)body["execution"]!));
        Assert.Empty(await MattersAsync(id));
    }

    [Fact]
    public async Task ExpiredClock_StandsOnTheListUntilAClinicianCloses()
    {
        var (id, _) = await StoreClaimedAsync(); // decided months ago, and the receiver has not said a word

        Assert.Contains("clockExpired acknowledge", await MattersAsync(id));
        Assert.Equal(HttpStatusCode.OK, (await CloseAsync(id, Told)).Status);
        Assert.Empty(await MattersAsync(id));
    }

    [Fact]
    public async Task WorkTakenUpAfterClosure_OpensItAgain()
    {
        var (id, taskId) = await StoreClaimedAsync();
        Assert.Equal(HttpStatusCode.OK, (await CloseAsync(id, Told)).Status);

        await ReportAsync(id, taskId, FhirTask.TaskStatus.InProgress);

        var view = await ReadAsync($"/referrals/{id}");
        Assert.Equal("needsHuman", (string)view["delivery"]!);
        Assert.NotNull(Line(view, "reopened"));
        Assert.Contains("referralNeedsHuman", await MattersAsync(id));
    }

    [Fact]
    public async Task RetractionAfterClosure_OpensItAgainUntilSomebodyWasTold()
    {
        var (id, _) = await StoreClaimedAsync();
        await CloseAsync(id, Told);
        var encounter = new Uri((string)(await ReadAsync($"/referrals/{id}"))["encounter"]!).AbsolutePath;

        await SendAsync(HttpMethod.Post, $"{encounter}/retraction", new { reason = "wrongPatient", person = "Morwenna Tal", text = "Wrong patient." }, "\"1\"");
        Assert.Equal("withdrawnAfterSending", (string)(await ReadAsync($"/referrals/{id}"))["delivery"]!);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, (await CloseAsync(id, Untold)).Status);

        Assert.Equal(HttpStatusCode.OK, (await CloseAsync(id, Told)).Status);
        Assert.Equal("entered-in-error", (string)(await ReadAsync($"/fhir/ServiceRequest/{id}"))["status"]!);
    }

    [Fact]
    public async Task CorrectionAfterClosure_QueuesItAgain()
    {
        var destination = NewDestination();
        var (id, taskId) = await gateway.StoreAsync(destination);
        await CloseAsync(id, Untold);
        var everywhere = new Reach.Everything("test");
        var key = Guid.Parse(new Uri((string)(await ReadAsync($"/referrals/{id}"))["encounter"]!).Segments[^1]);
        var first = (await gateway.Encounters.FindAsync(everywhere, key, Stop))!;

        var outcome = await gateway.Encounters.SaveAsync(
            new EncounterRevision(
                key, first.ClinicId, first.ClinicEncounterId, 2, "1.0", "Europe/London", first.PatientKey, null, "second", "{}"u8.ToArray(), TimeProvider.System.GetUtcNow(), first.EvaluatedAt,
                "triaged", "T3", false, "{}"u8.ToArray(), "{}"u8.ToArray(), null, [RunningGateway.Request(id), RunningGateway.Task(taskId, id)],
                new OutgoingReferral(id, taskId, destination, "T3", 4, null, first.PatientKey, "harbour-lane", null, "{}"u8.ToArray(), "00", "key-second", "correlation-second", [], false),
                []),
            Stop);

        Assert.Equal(ReferralPlacement.Queued, Assert.IsType<SaveOutcome.Saved>(outcome).Referral);
        Assert.Equal("waiting", (string)(await ReadAsync($"/referrals/{id}"))["delivery"]!);
        Assert.Equal("active", (string)(await ReadAsync($"/fhir/ServiceRequest/{id}"))["status"]!);
    }

    private static string NewDestination() => $"closure-test-{Interlocked.Increment(ref destinations)}";

    private static JsonNode? Line(JsonNode view, string kind) => view["timeline"]!.AsArray().SingleOrDefault(line => (string)line!["event"]! == kind);

    private static void AssertProblem(HttpStatusCode status, string type, (HttpStatusCode Status, JsonObject Body) answer) =>
        Assert.Equal((status, $"https://ear-referral.example/problems/{type}"), (answer.Status, (string)answer.Body["type"]!));

    private async Task<(string Id, string TaskId)> StoreClaimedAsync(bool deliver = true)
    {
        var destination = NewDestination();
        var ids = await gateway.StoreAsync(destination);
        var claim = await gateway.ClaimAsync(destination);
        if (deliver)
        {
            await gateway.DeliverAsync(claim);
        }

        return ids;
    }

    private async Task ReportAsync(string referralId, string taskId, FhirTask.TaskStatus status)
    {
        var sent = RunningGateway.Task(taskId, referralId);
        sent.Status = status;
        sent.LastModifiedElement = new Hl7.Fhir.Model.FhirDateTime(TimeProvider.System.GetUtcNow());
        var version = (string)(await ReadAsync($"/fhir/Task/{taskId}"))["meta"]!["versionId"]!;
        using var request = new HttpRequestMessage(HttpMethod.Put, new Uri($"/fhir/Task/{taskId}", UriKind.Relative)) { Content = new ByteArrayContent(FhirJson.Bytes(sent)) };
        request.Content.Headers.ContentType = new MediaTypeHeaderValue("application/fhir+json");
        request.Headers.TryAddWithoutValidation("If-Match", $"W/\"{version}\"");
        using var response = await gateway.Client.SendAsync(request, Stop);
        Assert.Equal(HttpStatusCode.OK, response.StatusCode);
    }

    private async Task<IReadOnlyList<string>> MattersAsync(string referralId) =>
        [.. (await ReadAsync("/attention"))["items"]!.AsArray()
            .Where(matter => (string?)matter!["referralId"] == referralId)
            .Select(matter => $"{matter!["kind"]} {matter["clock"]}".Trim())];

    private async Task<IReadOnlyList<string?>> AuditOfAsync(string referralId)
    {
        var page = await gateway.Audit.ListAsync(new Reach.Everything("test"), null, 1000, Stop);
        return [.. page.Items.Where(entry => entry.ResourceId == referralId).Select(entry => entry.Purpose)];
    }

    private async Task<JsonObject> ReadAsync(string path) => JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri(path, UriKind.Relative), Stop))!.AsObject();

    /// <summary>Closes with the ETag of the moment; the watch may add a line in between, as it may for any caller.</summary>
    private async Task<(HttpStatusCode Status, JsonObject Body)> CloseAsync(string id, object body)
    {
        while (true)
        {
            using var view = await gateway.Client.GetAsync(new Uri($"/referrals/{id}", UriKind.Relative), Stop);
            var answer = await SendAsync(HttpMethod.Post, $"/referrals/{id}/closure", body, view.Headers.ETag!.Tag);
            if (answer.Status != HttpStatusCode.PreconditionFailed)
            {
                return answer;
            }
        }
    }

    private async Task<(HttpStatusCode Status, JsonObject Body)> SendAsync(HttpMethod method, string path, object body, string? ifMatch)
    {
        using var request = new HttpRequestMessage(method, new Uri(path, UriKind.Relative)) { Content = JsonContent.Create(body) };
        if (ifMatch is not null)
        {
            request.Headers.Add("If-Match", ifMatch);
        }

        using var response = await gateway.Client.SendAsync(request, Stop);
        return (response.StatusCode, JsonNode.Parse(await response.Content.ReadAsStringAsync(Stop))!.AsObject());
    }
}
