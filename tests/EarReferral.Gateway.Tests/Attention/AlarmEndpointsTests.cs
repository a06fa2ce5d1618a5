using System.Net;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using EarReferral.Delivery.Alarms;
using EarReferral.Gateway.Attention;
using EarReferral.Gateway.Tests.Referrals;

namespace EarReferral.Gateway.Tests.Attention;

public sealed class AlarmEndpointsTests(RunningGateway gateway) : IClassFixture<RunningGateway>
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task WhatIsOverdue_IsAnAlarmUntilAPersonAcknowledgesItByName()
    {
        var (id, _) = await gateway.StoreAsync("alarm-test"); // decided months ago and never delivered
        await LookAsync();
        var alarm = (await ListAsync("/alarms?count=200")).Single(alarm => (string?)alarm!["referralId"] == id && (string?)alarm["kind"] == "delivery-overdue")!;

        var nameless = await PostAsync($"/alarms/{alarm["id"]}/acknowledgement", new { note = new string('x', 2001) });
        var taken = await PostAsync($"/alarms/{alarm["id"]}/acknowledgement", new { person = "Morwenna Tal", note = "Phoning the ENT secretary." });
        var again = await PostAsync($"/alarms/{alarm["id"]}/acknowledgement", new { person = "Somebody Else" });

        Assert.Equal(["alarm.person-missing", "alarm.note-too-long"], nameless.Body["errors"]!.AsArray().Select(error => (string?)error!["id"]));
        Assert.Equal((HttpStatusCode.OK, "Morwenna Tal"), (taken.Status, (string?)taken.Body["acknowledgedBy"]));
        Assert.Equal((HttpStatusCode.Conflict, "https://ear-referral.example/problems/alarm-acknowledged"), (again.Status, (string?)again.Body["type"]));
        Assert.DoesNotContain((string?)alarm["id"], (await ListAsync("/alarms?count=200")).Select(each => (string?)each!["id"]));
        Assert.Contains((string?)alarm["id"], (await ListAsync("/alarms?all=true&count=200")).Select(each => (string?)each!["id"]));
    }

    [Fact]
    public async Task SecondLook_RaisesNothingTwice()
    {
        await gateway.StoreAsync("alarm-test");
        await LookAsync();
        var first = (await ListAsync("/alarms?all=true&count=200")).Count;

        await LookAsync();

        Assert.Equal(first, (await ListAsync("/alarms?all=true&count=200")).Count);
    }

    [Fact]
    public async Task ParkedDestination_IsAMatterAndAnAlarmAtOnce()
    {
        await gateway.Destinations.PauseAsync("parked-test", paused: true, "delivery", TimeProvider.System.GetUtcNow().AddSeconds(-1), Stop);

        await LookAsync();

        Assert.Contains(await ListAsync("/attention"), matter => (string?)matter!["kind"] == "destinationParked" && (string?)matter["name"] == "parked-test");
        Assert.Contains(await ListAsync("/alarms?count=200"), alarm => (string?)alarm!["kind"] == "destination-parked");
        await gateway.Destinations.PauseAsync("parked-test", paused: false, "operator", TimeProvider.System.GetUtcNow(), Stop);
        Assert.DoesNotContain(await ListAsync("/attention"), matter => (string?)matter!["name"] == "parked-test");
    }

    [Fact]
    public async Task ChannelThatDoesNotGetThrough_IsAMatterUntilItDoes_AndOneThatIsNotConfiguredIsNone()
    {
        await using var own = new RunningGateway();
        own.Settings["Delivery:Alarms:Channels:duty:Kind"] = "webhook";
        own.Settings["Delivery:Alarms:Channels:duty:Url"] = "http://127.0.0.1:9/alarms";
        own.Settings["Delivery:Alarms:Channels:duty:SecretFile"] = own.Secret("a-secret-of-at-least-32-characters");
        own.Settings["Delivery:Alarms:Lists:default:0:Name"] = "clinician on duty";
        own.Settings["Delivery:Alarms:Lists:default:0:Channels:0"] = "duty";
        await own.InitializeAsync();
        var channels = own.Get<EarReferral.Storage.Alarms.ChannelStore>();
        await channels.RecordAsync("gone", TimeProvider.System.GetUtcNow(), taken: false, "refused", null, null, Stop);
        // The channel's own first test message fails at once, because nobody listens there.
        while (!(await FailingAsync(own)).Any())
        {
            await Task.Delay(200, Stop);
        }

        var failing = await FailingAsync(own);
        await channels.RecordAsync("duty", TimeProvider.System.GetUtcNow(), taken: true, "taken", TimeProvider.System.GetUtcNow().AddDays(1), null, Stop);

        Assert.Equal(["duty"], failing);
        Assert.Empty(await FailingAsync(own));
    }

    [Fact]
    public async Task UnknownAlarm_IsNotFound()
    {
        using var found = await gateway.Client.GetAsync(new Uri("/alarms/none", UriKind.Relative), Stop);

        Assert.Equal(HttpStatusCode.NotFound, found.StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await PostAsync("/alarms/none/acknowledgement", new { person = "Morwenna Tal" })).Status);
    }

    [Fact]
    public async Task GatewayThatAnswersNoMore_IsSilentForTheHeartbeat()
    {
        await using var own = new RunningGateway();
        var clock = new SteppingClock();
        await own.StartAsync(clock);
        await UntilAsync(own, clock, silent: false);

        await own.StopServerAsync();
        await UntilAsync(own, clock, silent: true);
    }

    /// <summary>A clock that the test moves on while timers go by the real one's pace.</summary>
    private sealed class SteppingClock : TimeProvider
    {
        private long ahead;

        public override DateTimeOffset GetUtcNow() => base.GetUtcNow().AddTicks(Volatile.Read(ref ahead));

        public void Add(TimeSpan time) => Interlocked.Add(ref ahead, time.Ticks);

        public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period) =>
            base.CreateTimer(callback, state, dueTime > TimeSpan.FromSeconds(1) ? TimeSpan.FromSeconds(1) : dueTime, period);
    }

    private static async Task UntilAsync(RunningGateway own, SteppingClock clock, bool silent)
    {
        for (var look = 0; own.Get<Pulse>().Silent().Contains("gateway") != silent; look++)
        {
            Assert.True(look < 60, $"silent is not {silent}");
            clock.Add(silent ? TimeSpan.FromMinutes(1) : TimeSpan.Zero);
            await Task.Delay(500, Stop);
        }
    }

    private Task LookAsync() => gateway.Get<AttentionWatch>().LookAsync(Stop);

    private async Task<JsonArray> ListAsync(string path) => JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri(path, UriKind.Relative), Stop))!["items"]!.AsArray();

    private async Task<(HttpStatusCode Status, JsonObject Body)> PostAsync(string path, object body)
    {
        using var response = await gateway.Client.PostAsJsonAsync(new Uri(path, UriKind.Relative), body, Stop);
        return (response.StatusCode, JsonNode.Parse(await response.Content.ReadAsStringAsync(Stop))!.AsObject());
    }

    private static async Task<IReadOnlyList<string?>> FailingAsync(RunningGateway gateway)
    {
        var list = JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri("/attention", UriKind.Relative), Stop))!["items"]!.AsArray();
        return [.. list.Where(matter => (string?)matter!["kind"] == "channelFailing").Select(matter => (string?)matter!["name"])];
    }
}
