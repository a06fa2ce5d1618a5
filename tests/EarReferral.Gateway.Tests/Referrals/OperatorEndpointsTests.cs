using System.Net;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using EarReferral.Gateway.CommandLine;
using EarReferral.Gateway.Demo;
using EarReferral.Storage;
using EarReferral.Storage.Alarms;

namespace EarReferral.Gateway.Tests.Referrals;

/// <summary>What named people do to the sending; each act leaves a line and an audit row.</summary>
public sealed class OperatorEndpointsTests(RunningGateway gateway) : IClassFixture<RunningGateway>
{
    private static int destinations;

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task WaitingReferral_IsHeldAndReleasedByName()
    {
        var (id, _) = await gateway.StoreAsync(NewDestination());

        var nameless = await PostAsync($"/referrals/{id}/hold", new { reason = "because" });
        var held = await PostAsync($"/referrals/{id}/hold", new { person = "Morwenna Tal", reason = "patientUndecided" });
        var again = await PostAsync($"/referrals/{id}/hold", new { person = "Morwenna Tal", reason = "patientUndecided" });
        var released = await PostAsync($"/referrals/{id}/release", new { person = "Piran Angove" });

        Assert.Equal(["operator.person-missing", "hold.reason-unknown"], Ids(nameless));
        Assert.Equal(("held", "waiting"), ((string?)held.Body["delivery"], (string?)released.Body["delivery"]));
        Assert.Equal((HttpStatusCode.Conflict, "https://ear-referral.example/problems/not-waiting"), (again.Status, (string?)again.Body["type"]));
        Assert.Contains("held: patientUndecided: by Morwenna Tal.", await AuditAsync(id));
        Assert.Contains("released: by Piran Angove.", await AuditAsync(id));
    }

    [Fact]
    public async Task WhatIsBeingSent_IsNotHeld()
    {
        var destination = NewDestination();
        var (id, _) = await gateway.StoreAsync(destination);
        await gateway.ClaimAsync(destination);

        var held = await PostAsync($"/referrals/{id}/hold", new { person = "Morwenna Tal", reason = "receiverAsked" });

        Assert.Equal((HttpStatusCode.Conflict, "https://ear-referral.example/problems/attempt-under-way"), (held.Status, (string?)held.Body["type"]));
    }

    [Fact]
    public async Task WhatWaitsOrStopped_IsSentNow_AndWhatWasDeliveredIsNot()
    {
        var destination = NewDestination();
        var (id, _) = await gateway.StoreAsync(destination);
        var waiting = await PostAsync($"/referrals/{id}/resend", new { person = "Morwenna Tal" });
        await gateway.DeliverAsync(await gateway.ClaimAsync(destination));
        var delivered = await PostAsync($"/referrals/{id}/resend", new { person = "Morwenna Tal" });

        Assert.Equal((HttpStatusCode.OK, "waiting"), (waiting.Status, (string?)waiting.Body["delivery"]));
        Assert.Single(await AuditAsync(id), purpose => purpose?.Contains("by Morwenna Tal", StringComparison.Ordinal) is true);
        Assert.Equal((HttpStatusCode.Conflict, "https://ear-referral.example/problems/not-resendable"), (delivered.Status, (string?)delivered.Body["type"]));
    }

    [Fact]
    public async Task Attempts_ShowIssuesWithoutTheReceiversWords()
    {
        var destination = NewDestination();
        var (id, _) = await gateway.StoreAsync(destination);
        await gateway.FailAsync(await gateway.ClaimAsync(destination), """[{"severity":"error","code":"required","text":"Mrs Thornby has no NHS number","expression":"Bundle.entry[0]"}]""");

        var answer = await gateway.Client.GetStringAsync(new Uri($"/referrals/{id}/attempts", UriKind.Relative), Stop);

        var attempt = Assert.Single(JsonNode.Parse(answer)!["items"]!.AsArray())!;
        Assert.Equal((422, "required", "Bundle.entry[0]"), ((int)attempt["status"]!, (string?)attempt["issues"]![0]!["code"], (string?)attempt["issues"]![0]!["expression"]));
        Assert.DoesNotContain("Thornby", answer, StringComparison.Ordinal);
    }

    [Fact]
    public async Task PostedReferral_GoesElsewhereWithNewBytesAndKeys()
    {
        await using var world = await SecondEntAsync();
        var id = await PostedAsync(world);
        var before = await ReadAsync(world, id);

        var unknown = await PostAsync($"/referrals/{id}/redirect", new { person = "Morwenna Tal", reason = "noCapacity", destination = "nowhere" }, world);
        var moved = await PostAsync($"/referrals/{id}/redirect", new { person = "Morwenna Tal", reason = "noCapacity", destination = "eastmoor-ent", told = "Secretary at Westerquay" }, world);

        Assert.Equal((HttpStatusCode.Conflict, "https://ear-referral.example/problems/not-redirectable"), (unknown.Status, (string?)unknown.Body["type"]));
        Assert.Equal((HttpStatusCode.OK, "Eastmoor General, ENT department", "waiting"), (moved.Status, (string?)moved.Body["destination"], (string?)moved.Body["delivery"]));
        Assert.NotEqual((string?)before["requestSha256"], (string?)moved.Body["requestSha256"]);
        Assert.Contains(moved.Body["timeline"]!.AsArray(), line => (string?)line!["detail"] == "westerquay-ent to eastmoor-ent, noCapacity: by Morwenna Tal. Told: Secretary at Westerquay.");
        Assert.Single(await AuditAsync(id, world), purpose => purpose?.Contains("westerquay-ent to eastmoor-ent", StringComparison.Ordinal) is true);
        var request = JsonNode.Parse(await world.Client.GetStringAsync(new Uri($"/fhir/ServiceRequest/{id}", UriKind.Relative), Stop))!;
        var organisation = JsonNode.Parse(await world.Client.GetStringAsync(new Uri($"/fhir/{request["performer"]![0]!["reference"]}", UriKind.Relative), Stop))!;
        Assert.Equal("Eastmoor General, ENT department", (string?)organisation["name"]);
    }

    [Fact]
    public async Task CancelBeforeWorkBegan_EndsTheRequestAndWaitsForAClinician()
    {
        var destination = NewDestination();
        var (id, taskId) = await gateway.StoreAsync(destination);
        await gateway.DeliverAsync(await gateway.ClaimAsync(destination));

        var untold = await PostAsync($"/referrals/{id}/cancel", Cancel(null));
        var cancelled = await PostAsync($"/referrals/{id}/cancel", Cancel("ENT secretary"));

        Assert.Equal(["closure.told-missing"], Ids(untold));
        Assert.Equal((HttpStatusCode.OK, "cancelled", "cancelled-by-referrer"), (cancelled.Status, (string?)cancelled.Body["execution"], (string?)cancelled.Body["businessStatus"]));
        Assert.Single(await AuditAsync(id), purpose => purpose?.Contains("treatedElsewhere", StringComparison.Ordinal) is true && purpose.Contains("by Morwenna Tal", StringComparison.Ordinal));
        Assert.Equal("revoked", (string?)(await FhirAsync($"ServiceRequest/{id}"))["status"]);
        Assert.Equal("cancelled", (string?)(await FhirAsync($"Task/{taskId}"))["status"]);
        var matters = await MattersAsync(id);
        Assert.Contains("referralToClose", matters);
        Assert.DoesNotContain("clockExpired", matters);
        Assert.Equal(HttpStatusCode.OK, (await CloseAsync(id)).Status);
        Assert.Empty(await MattersAsync(id));
    }

    [Fact] // V-LIFE L02: the placer's cancelling of work that has begun is refused; an abort Task stands instead.
    public async Task CancelAfterWorkBegan_AsksTheReceiver_WhichAgreesByItsEnd()
    {
        var (id, taskId) = await InProgressAsync();

        var asked = await PostAsync($"/referrals/{id}/cancel", Cancel("ENT secretary"));
        var twice = await PostAsync($"/referrals/{id}/cancel", Cancel("ENT secretary"));
        Assert.Equal((HttpStatusCode.OK, "in-progress", "cancel-requested"), (asked.Status, (string?)asked.Body["execution"], (string?)asked.Body["businessStatus"]));
        Assert.Equal((HttpStatusCode.Conflict, "https://ear-referral.example/problems/not-cancellable"), (twice.Status, (string?)twice.Body["type"]));
        var abort = await AbortAsync(taskId);
        Assert.Equal(("requested", "abort"), ((string?)abort["status"], (string?)abort["code"]!["coding"]![0]!["code"]));
        Assert.Equal("active", (string?)(await FhirAsync($"ServiceRequest/{id}"))["status"]);

        Assert.Equal(HttpStatusCode.OK, await ReportAsync(taskId, "cancelled"));

        Assert.Equal("completed", (string?)(await AbortAsync(taskId))["status"]);
        Assert.Equal("revoked", (string?)(await FhirAsync($"ServiceRequest/{id}"))["status"]);
        Assert.Contains("referralToClose", await MattersAsync(id));
    }

    [Fact]
    public async Task ReceiverThatFinishesInstead_RefusesTheCancellation()
    {
        var (id, taskId) = await InProgressAsync();
        await PostAsync($"/referrals/{id}/cancel", Cancel("ENT secretary"));

        Assert.Equal(HttpStatusCode.OK, await ReportAsync(taskId, "completed"));

        Assert.Equal("rejected", (string?)(await AbortAsync(taskId))["status"]);
        Assert.Equal("active", (string?)(await FhirAsync($"ServiceRequest/{id}"))["status"]);
    }

    [Fact] // Without having been asked, the receiver cannot cancel what it works on (matrix of TaskTransitions).
    public async Task ReceiverThatWasNotAsked_CannotCancel()
    {
        var (_, taskId) = await InProgressAsync();

        Assert.Equal(HttpStatusCode.UnprocessableEntity, await ReportAsync(taskId, "cancelled"));
    }

    [Fact]
    public async Task Reply_IsACommunicationOfItsProfile_AndStopsItsClock()
    {
        await using var world = await SecondEntAsync();
        var id = await PostedAsync(world);
        var early = await PostAsync($"/referrals/{id}/replies", ReplyOf("The audiogram is attached."), world);
        await PostAsync($"/referrals/{id}/answers-by-hand", new { answer = "moreWanted", channel = "phone", saidBy = "ENT secretary", person = "Morwenna Tal", at = TimeProvider.System.GetUtcNow().AddMinutes(-1), reason = "Hearing test?" }, world);

        var first = await PostAsync($"/referrals/{id}/replies", ReplyOf("The audiogram is attached."), world);
        var again = await PostAsync($"/referrals/{id}/replies", ReplyOf("The audiogram is attached."), world);

        Assert.Equal((HttpStatusCode.Conflict, "https://ear-referral.example/problems/nothing-asked"), (early.Status, (string?)early.Body["type"]));
        Assert.Equal((HttpStatusCode.OK, HttpStatusCode.OK), (first.Status, again.Status));
        Assert.Single(again.Body["timeline"]!.AsArray(), line => (string?)line!["event"] == "replied");
        Assert.DoesNotContain("audiogram", again.Body["timeline"]!.ToJsonString(), StringComparison.Ordinal);
        var found = JsonNode.Parse(await world.Client.GetStringAsync(new Uri($"/fhir/Communication?based-on=ServiceRequest/{id}", UriKind.Relative), Stop))!;
        var communication = Assert.Single(found["entry"]!.AsArray())!["resource"]!;
        Assert.Equal("The audiogram is attached.", (string?)communication["payload"]![0]!["contentString"]);
        var validated = await PostAsync("/fhir/Communication/$validate", communication, world);
        Assert.Equal(HttpStatusCode.OK, validated.Status);
        Assert.DoesNotContain(validated.Body["issue"]!.AsArray(), issue => (string?)issue!["severity"] is "error" or "fatal");
    }

    [Fact]
    public async Task CallThatWasTaken_IsAuditedOnce_AndTakesOnTheAlarm()
    {
        var (id, _) = await gateway.StoreAsync(NewDestination());
        await gateway.Get<EarReferral.Gateway.Attention.AttentionWatch>().LookAsync(Stop);
        var call = new { outcome = "taken", person = "Morwenna Tal", saidBy = "ENT registrar", at = "2026-03-02T10:05:00Z" };

        await Task.WhenAll(Enumerable.Range(0, 5).Select(_ => PostAsync($"/referrals/{id}/calls", call)));

        Assert.Single((await ReadAsync(gateway, id))["timeline"]!.AsArray(), line => (string?)line!["event"] == "phone-taken");
        Assert.Single(await AuditAsync(id), purpose => purpose == "phone-taken, by Morwenna Tal");
        var alarm = (await gateway.Get<AlarmStore>().ListAsync(new Reach.Everything("test"), openOnly: false, null, 200, Stop)).Items.Single(each => each.Cause.ReferralId == id && each.Cause.Kind == "delivery-overdue");
        Assert.Equal("Morwenna Tal", alarm.Acknowledged!.Person);
    }

    [Fact]
    public async Task CallAboutAClosedReferral_IsRefused()
    {
        var (id, _) = await gateway.StoreAsync(NewDestination());
        await CloseAsync(id);

        var call = await PostAsync($"/referrals/{id}/calls", new { outcome = "taken", person = "Morwenna Tal", saidBy = "ENT registrar", at = "2026-03-02T10:05:00Z" });

        Assert.Equal((HttpStatusCode.Conflict, "https://ear-referral.example/problems/referral-closed"), (call.Status, (string?)call.Body["type"]));
    }

    [Fact]
    public async Task CommandLine_DoesTheSameThroughTheService_WithTheFrozenExitCodes()
    {
        var (id, _) = await gateway.StoreAsync(NewDestination());
        var (held, heldText, _) = await RunAsync("hold", id, "--person", "Morwenna Tal", "--reason", "receiverAsked");
        var (shown, shownText, _) = await RunAsync("show", id);
        var (listed, listText, _) = await RunAsync("list");
        var (wrong, _, complaint) = await RunAsync("resend", id, "--person", "Morwenna Tal");
        var (closed, closedText, _) = await RunAsync("close", id, "--person", "Morwenna Tal", "--role", "audiologist", "--reason", "notNeeded", "--text", "Seen again.");

        Assert.Equal((ExitCode.Done, ExitCode.Done, ExitCode.Done, ExitCode.Failed, ExitCode.Done), (held, shown, listed, wrong, closed));
        Assert.Contains("held", heldText, StringComparison.Ordinal);
        Assert.Contains("receiverAsked: by Morwenna Tal.", shownText, StringComparison.Ordinal);
        Assert.Contains(id, listText, StringComparison.Ordinal);
        Assert.Contains("not where this can be done", complaint, StringComparison.Ordinal);
        Assert.Contains("closed", closedText, StringComparison.Ordinal);
    }

    [Fact]
    public async Task CommandLine_ReleasesAndCancels()
    {
        var destination = NewDestination();
        var (id, _) = await gateway.StoreAsync(destination, hold: true);

        var (released, releasedText, _) = await RunAsync("release", id, "--person", "Piran Angove");
        await gateway.DeliverAsync(await gateway.ClaimAsync(destination));
        var (untold, _, complaint) = await RunAsync("cancel", id, "--person", "Morwenna Tal", "--role", "audiologist", "--reason", "treatedElsewhere", "--text", "Seen at the emergency department.");
        var (cancelled, cancelledText, _) = await RunAsync(
            "cancel", id, "--person", "Morwenna Tal", "--role", "audiologist", "--reason", "treatedElsewhere", "--text", "Seen at the emergency department.", "--told", "ENT secretary");

        Assert.Equal((ExitCode.Done, ExitCode.Failed, ExitCode.Done), (released, untold, cancelled));
        Assert.Contains("waiting", releasedText, StringComparison.Ordinal);
        Assert.Contains("/told", complaint, StringComparison.Ordinal);
        Assert.Contains("cancelled", cancelledText, StringComparison.Ordinal);
    }

    [Fact]
    public async Task CommandLine_Redirects()
    {
        await using var world = await SecondEntAsync();
        var id = await PostedAsync(world);

        var (moved, text, _) = await RunAsync(world.Client.BaseAddress!, "redirect", id, "--person", "Morwenna Tal", "--reason", "noCapacity", "--destination", "eastmoor-ent", "--told", "Secretary at Westerquay");

        Assert.Equal(ExitCode.Done, moved);
        Assert.Contains("Eastmoor General, ENT department", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task CommandLine_SaysWhenNoServiceAnswers_AndRefusesAWrongLine()
    {
        Assert.Equal(ExitCode.Unreachable, (await RunAsync(new Uri("http://127.0.0.1:9"), "list")).Code);
        Assert.Equal(ExitCode.Usage, await GatewayCommands.RunAsync(["referrals", "hold", "some-id"]));
    }

    private static string NewDestination() => $"operator-test-{Interlocked.Increment(ref destinations)}";

    private static object Cancel(string? told) => new { person = "Morwenna Tal", role = "audiologist", reason = "treatedElsewhere", text = "Seen at the emergency department.", told };

    private static object ReplyOf(string text) => new { person = "Morwenna Tal", at = "2026-04-30T10:00:00Z", text, channel = "electronic" };

    private static IEnumerable<string?> Ids((HttpStatusCode Status, JsonObject Body) answer) => answer.Body["errors"]!.AsArray().Select(error => (string?)error!["id"]);

    private static async Task<RunningGateway> SecondEntAsync()
    {
        var world = new RunningGateway
        {
            Settings =
            {
                ["Delivery:Destinations:eastmoor-ent:Name"] = "Eastmoor General, ENT department",
                ["Delivery:Destinations:eastmoor-ent:OdsCode"] = "EMG03",
                ["Delivery:Destinations:eastmoor-ent:Phone"] = "01632 960 303",
                ["Delivery:Destinations:eastmoor-ent:BaseUrl"] = "http://127.0.0.1:9/other",
            },
        };
        await world.InitializeAsync();
        return world;
    }

    /// <summary>An example visit with a referral, through the real intake.</summary>
    private static async Task<string> PostedAsync(RunningGateway world)
    {
        var example = Example.All().First(each => each.Tier == "T1");
        var posted = await world.PostWhenReadyAsync(example.Encounter.ToJsonString());
        Assert.Equal(HttpStatusCode.Created, posted);
        return (string)JsonNode.Parse(await world.Client.GetStringAsync(new Uri("/referrals", UriKind.Relative), Stop))!["items"]![0]!["id"]!;
    }

    private async Task<(string Id, string TaskId)> InProgressAsync()
    {
        var destination = NewDestination();
        var ids = await gateway.StoreAsync(destination);
        await gateway.DeliverAsync(await gateway.ClaimAsync(destination));
        Assert.Equal(HttpStatusCode.OK, await ReportAsync(ids.TaskId, "in-progress"));
        return ids;
    }

    private async Task<HttpStatusCode> ReportAsync(string taskId, string status)
    {
        using var read = await gateway.Client.GetAsync(new Uri($"/fhir/Task/{taskId}", UriKind.Relative), Stop);
        var task = JsonNode.Parse(await read.Content.ReadAsStringAsync(Stop))!;
        task["status"] = status;
        task["lastModified"] = TimeProvider.System.GetUtcNow().ToString("yyyy-MM-dd'T'HH:mm:ss.fffZ", System.Globalization.CultureInfo.InvariantCulture);
        using var put = new HttpRequestMessage(HttpMethod.Put, new Uri($"/fhir/Task/{taskId}", UriKind.Relative)) { Content = JsonContent.Create(task, new System.Net.Http.Headers.MediaTypeHeaderValue("application/fhir+json")) };
        put.Headers.TryAddWithoutValidation("If-Match", read.Headers.ETag!.ToString());
        using var answer = await gateway.Client.SendAsync(put, Stop);
        return answer.StatusCode;
    }

    private async Task<JsonNode> AbortAsync(string taskId) => await FhirAsync($"Task/{EarReferral.Mapping.Identity.EncounterIdentity.NameBased(Guid.Parse(taskId), "abort")}");

    private async Task<JsonNode> FhirAsync(string path) => JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri($"/fhir/{path}", UriKind.Relative), Stop))!;

    private static async Task<JsonNode> ReadAsync(RunningGateway world, string id) => JsonNode.Parse(await world.Client.GetStringAsync(new Uri($"/referrals/{id}", UriKind.Relative), Stop))!;

    private async Task<List<string?>> MattersAsync(string id) =>
        [.. JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri("/attention", UriKind.Relative), Stop))!["items"]!.AsArray().Where(matter => (string?)matter!["referralId"] == id).Select(matter => (string?)matter!["kind"])];

    private Task<List<string?>> AuditAsync(string id) => AuditAsync(id, gateway);

    private static async Task<List<string?>> AuditAsync(string id, RunningGateway world)
    {
        var entries = new List<string?>();
        string? cursor = null;
        do
        {
            var page = await world.Audit.ListAsync(new Reach.Everything("test"), cursor, 200, Stop);
            entries.AddRange(page.Items.Where(entry => entry.ResourceId == id).Select(entry => entry.Purpose));
            cursor = page.Next;
        }
        while (cursor is not null);
        return entries;
    }

    private async Task<(HttpStatusCode Status, JsonObject Body)> CloseAsync(string id)
    {
        using var view = await gateway.Client.GetAsync(new Uri($"/referrals/{id}", UriKind.Relative), Stop);
        using var request = new HttpRequestMessage(HttpMethod.Post, new Uri($"/referrals/{id}/closure", UriKind.Relative))
        {
            Content = JsonContent.Create(new { person = "Morwenna Tal", role = "audiologist", reason = "notNeeded", text = "Seen again.", told = "ENT secretary" }),
        };
        request.Headers.TryAddWithoutValidation("If-Match", view.Headers.ETag!.ToString());
        using var response = await gateway.Client.SendAsync(request, Stop);
        return (response.StatusCode, JsonNode.Parse(await response.Content.ReadAsStringAsync(Stop))!.AsObject());
    }

    private Task<(int Code, string Results, string Complaints)> RunAsync(params string[] line) => RunAsync(gateway.Client.BaseAddress!, line);

    private static async Task<(int Code, string Results, string Complaints)> RunAsync(Uri address, params string[] line)
    {
        await using var results = new StringWriter();
        await using var complaints = new StringWriter();
        var urls = new System.CommandLine.Option<string>("--urls") { DefaultValueFactory = _ => address.ToString() };
        var code = await ReferralsCommand.Create(urls, results, complaints).Parse(line).InvokeAsync(cancellationToken: Stop);
        return (code, results.ToString(), complaints.ToString());
    }

    private Task<(HttpStatusCode Status, JsonObject Body)> PostAsync(string path, object body) => PostAsync(path, body, gateway);

    private static async Task<(HttpStatusCode Status, JsonObject Body)> PostAsync(string path, object body, RunningGateway world)
    {
        using var response = await world.Client.PostAsJsonAsync(new Uri(path, UriKind.Relative), body, Stop);
        return (response.StatusCode, JsonNode.Parse(await response.Content.ReadAsStringAsync(Stop))!.AsObject());
    }
}
