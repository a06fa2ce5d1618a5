using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using EarReferral.Delivery;
using EarReferral.Delivery.Alarms;
using EarReferral.Delivery.Destinations;
using EarReferral.Gateway.Referrals;
using EarReferral.Storage;
using EarReferral.Storage.Alarms;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Sending;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Tests.Referrals;

/// <summary>
/// The receiver is asked. Sources: FHIR R4 RESTful API, search by POST and unknown parameters; Subscriptions R5 Backport for R4 (a lost event
/// is recovered by asking); IHE PCC referral status query, from memory. How often is our own proposal.
/// </summary>
public sealed class TaskReconciliationTests(RunningGateway gateway) : IClassFixture<RunningGateway>, IAsyncLifetime
{
    private static readonly Reach Everything = new Reach.Everything("test");
    private readonly List<string> asked = [];
    private readonly Dictionary<string, JsonObject> held = new(StringComparer.Ordinal);
    private readonly string name = $"ask-{Guid.NewGuid():N}";
    private WebApplication? receiver;
    private int status = 200;

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    private static DateTimeOffset Now => TimeProvider.System.GetUtcNow();

    public async ValueTask InitializeAsync()
    {
        var builder = WebApplication.CreateSlimBuilder();
        receiver = builder.Build();
        receiver.Urls.Add("http://127.0.0.1:0");
        receiver.MapPost("/fhir/Task/_search", async context =>
        {
            var identifier = (string)(await context.Request.ReadFormAsync(Stop))["identifier"]!;
            asked.Add(identifier);
            context.Response.StatusCode = status;
            var found = held.TryGetValue(identifier.Split('|')[1], out var task) ? new JsonArray(new JsonObject { ["resource"] = task.DeepClone() }) : [];
            await context.Response.WriteAsync(new JsonObject { ["resourceType"] = "Bundle", ["type"] = "searchset", ["entry"] = found }.ToJsonString(), Stop);
        });
        await receiver.StartAsync(Stop);
    }

    public async ValueTask DisposeAsync() => await receiver!.DisposeAsync();

    [Fact]
    public async Task ReportThatWasLost_IsFoundByAsking_OnceAndNotBeforeItsTime()
    {
        var (referral, task) = await DeliveredAsync("[]");
        Says(task, "accepted");
        var reconciliation = Reconciliation();

        await reconciliation.RoundAsync(Now.AddHours(5), Stop);
        Assert.Empty(asked);

        await reconciliation.RoundAsync(Now.AddHours(7), Stop);
        Assert.Equal([$"https://ear-referral.example/identifier/resource|{task}"], asked);
        Assert.Equal("accepted", (await gateway.Get<ReferralStore>().FindAsync(Everything, referral, Stop))!.TaskStatus);

        await reconciliation.RoundAsync(Now.AddHours(5), Stop);
        Assert.Single(asked);
        await reconciliation.RoundAsync(Now.AddHours(20), Stop);
        Assert.Equal(2, asked.Count);
        var line = Assert.Single(await gateway.Get<ReferralStore>().TimelineAsync(Everything, referral, Stop), entry => entry.Kind == "task-updated");
        Assert.Equal(($"asked {name}", true), (line.Actor, line.Detail!.StartsWith("found by asking", StringComparison.Ordinal)));
    }

    [Theory]
    [InlineData("[]", "completed", "Patient/5", "illegal-transition")]
    [InlineData("""["Patient/77/_history/1"]""", "accepted", "Patient/78", "foreign-patient")]
    public async Task WhatIsNotLawful_IsKeptForReviewOnce_HoweverOftenItIsSaid(string locations, string says, string patient, string reason)
    {
        var (referral, task) = await DeliveredAsync(locations);
        Says(task, says, patient);
        var reconciliation = Reconciliation();

        foreach (var hours in new[] { 7, 14, 21 })
        {
            await reconciliation.RoundAsync(Now.AddHours(hours), Stop);
        }

        Assert.Equal(3, asked.Count);
        Assert.Equal("requested", (await gateway.Get<ReferralStore>().FindAsync(Everything, referral, Stop))!.TaskStatus);
        var kept = (await gateway.Get<ReferralStore>().QuarantinedAsync(new Reach.Everything("test"), null, 200, Stop)).Items.Where(item => item.TaskId == task);
        Assert.Equal([reason], kept.Select(item => item.Reason));
    }

    [Fact]
    public async Task PatientUnderTheIdThatTheReceiverGave_IsOurs()
    {
        var (referral, task) = await DeliveredAsync("""["Patient/77/_history/1"]""");
        Says(task, "accepted", "Patient/77");

        await Reconciliation().RoundAsync(Now.AddHours(7), Stop);

        Assert.Equal("accepted", (await gateway.Get<ReferralStore>().FindAsync(Everything, referral, Stop))!.TaskStatus);
    }

    [Fact]
    public async Task ReceiverThatCannotSay_IsLeftAloneForLongerAndLonger_AndAParkedOneAltogether()
    {
        await DeliveredAsync("[]");
        await DeliveredAsync("[]");
        status = 404;
        var reconciliation = Reconciliation();
        var start = Now.AddHours(7);

        foreach (var minutes in new[] { 0.0, 0.5, 1.1, 2, 3.2 })
        {
            await reconciliation.RoundAsync(start.AddMinutes(minutes), Stop);
        }

        // At 0, 1.1 and 3.2 minutes, and each time the first question alone.
        Assert.Equal(3, asked.Count);
        await gateway.Destinations.PauseAsync(name, paused: true, "test", Now, Stop);
        await reconciliation.RoundAsync(start.AddHours(3), Stop);
        Assert.Equal(3, asked.Count);
    }

    [Fact]
    public async Task Notification_NeedsTheSecret_AndMakesUsAskAtOnce_WhateverItCarries()
    {
        await using var own = new RunningGateway($"{receiver!.Urls.Single()}/fhir");
        own.Settings[$"Delivery:Destinations:{RunningGateway.Destination}:NotificationSecretFile"] = own.Secret("a-secret-of-at-least-32-characters");
        await own.InitializeAsync();
        var handshake = """{"resourceType":"Bundle","type":"history","entry":[{"resource":{"resourceType":"Parameters","parameter":[{"name":"type","valueCode":"handshake"}]}}]}""";
        var address = $"/notifications/{RunningGateway.Destination}";

        Assert.Equal(HttpStatusCode.Unauthorized, await NotifyAsync(own, address, null, ""));
        Assert.Equal(HttpStatusCode.Unauthorized, await NotifyAsync(own, address, "another-secret-of-32-characters-x", ""));
        Assert.Equal(HttpStatusCode.Unauthorized, await NotifyAsync(own, "/notifications/nobody", "a-secret-of-at-least-32-characters", ""));
        Assert.Equal(HttpStatusCode.BadRequest, await NotifyAsync(own, address, "a-secret-of-at-least-32-characters", """{"resourceType":"Patient"}"""));
        Assert.Equal(HttpStatusCode.OK, await NotifyAsync(own, address, "a-secret-of-at-least-32-characters", handshake));
        Assert.Equal(HttpStatusCode.OK, await NotifyAsync(own, address, "a-secret-of-at-least-32-characters", ""));
        Assert.Equal(HttpStatusCode.OK, await NotifyAsync(own, address, "a-secret-of-at-least-32-characters", handshake.Replace("handshake", "event-notification", StringComparison.Ordinal)));

        // Long before it is due.
        var (referral, task) = await DeliveredAsync("[]");
        Says(task, "received");
        var reconciliation = Reconciliation();
        reconciliation.Ring(name);
        await reconciliation.RoundAsync(Now, Stop);
        Assert.Equal("received", (await gateway.Get<ReferralStore>().FindAsync(Everything, referral, Stop))!.TaskStatus);
    }

    [Theory]
    [InlineData("<html>Sign in</html>", "its answer is no JSON")]
    [InlineData("""{"resourceType":"OperationOutcome"}""", "its answer is no searchset")]
    [InlineData("""{"resourceType":"Bundle","type":"searchset","entry":[{"resource":{"resourceType":"Task","identifier":[{"system":"s","value":"other"}]}}]}""", "it answers with other Tasks only")]
    [InlineData("""{"resourceType":"Bundle","type":"searchset","entry":[{"resource":{"resourceType":"Task","identifier":[{"system":"s","value":"v"}]}},{"resource":{"resourceType":"Task","identifier":[{"system":"s","value":"v"}]}}]}""", "it holds the Task more than once")]
    [InlineData("[1]", "its answer is no searchset")]
    public void AnswerThatProvesNothing_IsUnclear(string body, string why) =>
        Assert.Equal(new TaskReply.Unclear(why), TaskQuestions.Read(Encoding.UTF8.GetBytes(body), "s", "v"));

    private static async Task<HttpStatusCode> NotifyAsync(RunningGateway gateway, string address, string? secret, string body)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, new Uri(address, UriKind.Relative)) { Content = new StringContent(body, Encoding.UTF8, "application/fhir+json") };
        request.Headers.Authorization = secret is null ? null : new("Bearer", secret);
        using var answer = await gateway.Client.SendAsync(request, Stop);
        return answer.StatusCode;
    }

    private async Task<(string Referral, string Task)> DeliveredAsync(string locations)
    {
        var (referral, task) = await gateway.StoreAsync(name);
        var claim = await gateway.ClaimAsync(name);
        await gateway.Get<Outbox>().RecordAsync(claim, new AttemptRecord(Now, 200, "delivered", null, 10), new SendDecision.Delivered(locations), Now, Stop);
        return (referral, task);
    }

    private void Says(string task, string says, string patient = "Patient/5") => held[task] = JsonNode.Parse($$"""
        { "resourceType": "Task", "id": "their-own", "identifier": [ { "system": "https://ear-referral.example/identifier/resource", "value": "{{task}}" } ],
          "status": "{{says}}", "intent": "order", "focus": { "reference": "ServiceRequest/9" }, "for": { "reference": "{{patient}}" },
          "authoredOn": "2026-03-02T10:00:00Z", "lastModified": "2026-03-02T11:00:00Z" }
        """)!.AsObject();

    private TaskReconciliation Reconciliation()
    {
        var options = new DeliveryOptions();
        options.Destinations[name] = new DestinationOptions { BaseUrl = new Uri($"{receiver!.Urls.Single()}/fhir"), Name = "Eastmoor" };
        return new TaskReconciliation(
            gateway.Get<ReferralStore>(), gateway.Get<ResourceStore>(), gateway.Destinations, gateway.Get<ChannelStore>(), gateway.Get<TaskQuestions>(), gateway.Get<TaskReports>(),
            Options.Create(options), gateway.Get<Pulse>(), TimeProvider.System, NullLogger<TaskReconciliation>.Instance);
    }
}
