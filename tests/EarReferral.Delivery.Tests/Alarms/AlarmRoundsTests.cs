using System.Text.Json.Nodes;
using EarReferral.Delivery.Alarms;
using EarReferral.Delivery.Working;
using EarReferral.Storage;
using EarReferral.Storage.Alarms;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;

namespace EarReferral.Delivery.Tests.Alarms;

/// <summary>An alarm is told along the contact list until somebody acknowledges it by name.</summary>
public sealed class AlarmRoundsTests
{
    private static readonly Reach Everywhere = new Reach.Everything("test");

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task UnacknowledgedAlarm_GoesToTheNextStepAfterTheSitesOwnWait()
    {
        await using var site = await AlarmSite.StartAsync();
        await site.RaiseAsync();

        await site.RoundAsync();
        await site.RoundAsync(TimeSpan.FromMinutes(10) - TimeSpan.FromSeconds(1));
        Assert.Equal((1, 0), (site.Hooked.Count, site.Mailed.Count));

        await site.RoundAsync(TimeSpan.FromSeconds(1));
        Assert.Equal((1, 1), (site.Hooked.Count, site.Mailed.Count));

        // The lead has our own 15 minutes; then it begins anew.
        await site.RoundAsync(TimeSpan.FromMinutes(15));
        Assert.Equal((2, 1), (site.Hooked.Count, site.Mailed.Count));
    }

    [Fact]
    public async Task AcknowledgedAlarm_IsToldNoMore()
    {
        await using var site = await AlarmSite.StartAsync();
        await site.RaiseAsync();
        await site.RoundAsync();

        var alarm = await site.OnlyAlarmAsync();
        var first = await AcknowledgeAsync(site, alarm.Id, "Morwenna Tal");
        var second = await AcknowledgeAsync(site, alarm.Id, "Somebody Else");
        await site.RoundAsync(TimeSpan.FromHours(5));

        Assert.Equal((AcknowledgeOutcome.Acknowledged, AcknowledgeOutcome.Before), (first, second));
        Assert.Equal((1, 0), (site.Hooked.Count, site.Mailed.Count));
        Assert.Equal("Morwenna Tal", (await site.OnlyAlarmAsync()).Acknowledged!.Person);
    }

    [Fact]
    public async Task Webhook_CanBeVerifiedAsTheDocumentationSays_AndSaysNothingClinical()
    {
        await using var site = await AlarmSite.StartAsync();
        await site.RaiseAsync();

        await site.RoundAsync();

        var message = Assert.Single(site.Hooked);
        string Header(string name) => message.Headers![name].Single();
        Assert.Equal(
            $"v1={WebhookSignature.Of(AlarmSite.Secret, Header("Ear-Message-Id"), long.Parse(Header("Ear-Timestamp"), System.Globalization.CultureInfo.InvariantCulture), Header("Ear-Nonce"), message.BodyAsBytes)}",
            Header("Ear-Signature"));
        var body = JsonNode.Parse(message.Body!)!.AsObject();
        Assert.Equal(["id", "kind", "alarm", "what", "clinic", "reference", "tier", "ageMinutes", "step"], body.Select(member => member.Key));
        Assert.Equal(("T1", "r-1", 20L), ((string?)body["tier"], (string?)body["reference"], (long)body["ageMinutes"]!));
    }

    [Fact]
    public async Task Mail_CarriesReferenceUrgencyAndAgeAndAStableId()
    {
        await using var site = await AlarmSite.StartAsync();
        site.Hook(500);
        await site.RaiseAsync();

        await site.RoundAsync();

        var alarm = await site.OnlyAlarmAsync();
        var mail = Assert.Single(site.Mailed);
        Assert.Contains($"Message-Id: <{alarm.Id}-0@ear-referral.example>", mail, StringComparison.Ordinal);
        Assert.Contains("To: lead@harbour-lane.example", mail, StringComparison.Ordinal);
        Assert.Contains("Subject: Ear referral alarm T1 delivery-overdue", mail, StringComparison.Ordinal);
        Assert.Contains("Reference: r-1", mail, StringComparison.Ordinal);
        Assert.Contains("Open for: 20 minutes", mail, StringComparison.Ordinal);
    }

    [Fact]
    public async Task FailingChannel_IsShownAndTheNextOneIsTriedAtOnce()
    {
        await using var site = await AlarmSite.StartAsync();
        site.Hook(503);
        await site.RaiseAsync();

        await site.RoundAsync();

        Assert.Equal([("duty", false, "status-503"), ("lead", true, "sent")], (await site.MessagesAsync()).Select(message => (message.Channel, message.Taken, message.Outcome)));
        Assert.Equal(site.Fixture.Clock.GetUtcNow(), (await site.ChannelAsync("duty")).FailingSince);
        Assert.Null((await site.ChannelAsync("lead")).FailingSince);
    }

    [Fact]
    public async Task WhereNobodyIsReached_TheSameMessageIsTriedAgainUnderTheSameId()
    {
        await using var site = await AlarmSite.StartAsync();
        site.Hook(503);
        site.Mail.Refuses = true;
        await site.RaiseAsync();

        await site.RoundAsync();
        site.Hook(200);
        await site.RoundAsync(TimeSpan.FromSeconds(30));

        var messages = await site.MessagesAsync();
        Assert.Equal(["status-503", "smtp-550", "status-200"], messages.Select(message => message.Outcome));
        Assert.Single(messages.Select(message => message.MessageId).Distinct());
        Assert.NotEqual(site.Hooked[0].Headers!["Ear-Nonce"].Single(), site.Hooked[1].Headers!["Ear-Nonce"].Single());
    }

    [Fact]
    public async Task WorkerThatDiedWhileTelling_IsFollowedUnderTheSameId()
    {
        await using var site = await AlarmSite.StartAsync();
        await site.RaiseAsync();
        var died = await site.Store.ClaimAsync(site.Fixture.Clock.GetUtcNow(), TimeSpan.FromMinutes(2), Stop);

        await using var restarted = site.Fixture.SecondNode();
        await restarted.GetRequiredService<AlarmRounds>().RoundAsync(Stop);
        Assert.Empty(site.Hooked);

        site.Fixture.Clock.Advance(TimeSpan.FromMinutes(2));
        await restarted.GetRequiredService<AlarmRounds>().RoundAsync(Stop);
        Assert.Equal(died!.MessageId, Assert.Single(site.Hooked).Headers!["Ear-Message-Id"].Single());
    }

    [Fact]
    public async Task ExpiredClock_RaisesItsAlarmWithItsLine()
    {
        await using var site = await AlarmSite.StartAsync();
        var id = await site.Fixture.QueueAsync("T0", late: TimeSpan.FromHours(1));

        await site.Fixture.Get<IEnumerable<IHostedService>>().OfType<OverdueWatch>().Single().LookAsync(Stop);

        var raised = (await site.Store.ListAsync(Everywhere, openOnly: true, null, 10, Stop)).Items;
        var lines = (await site.Fixture.TimelineAsync(id)).Select(line => line.Kind).Where(kind => kind.EndsWith("-overdue", StringComparison.Ordinal));
        Assert.Equal(lines.Order(), raised.Select(alarm => alarm.Cause.Kind).Order());
        Assert.Contains("delivery-overdue", raised.Select(alarm => alarm.Cause.Kind));
    }

    [Fact]
    public async Task AlarmThatWasTakenOnAndNotSettled_IsRaisedAnewAfterADay()
    {
        await using var site = await AlarmSite.StartAsync();
        await site.RaiseAsync();
        await AcknowledgeAsync(site, (await site.OnlyAlarmAsync()).Id, "Morwenna Tal");

        site.Fixture.Clock.Advance(TimeSpan.FromHours(23));
        await site.RaiseAsync();
        await site.OnlyAlarmAsync();
        site.Fixture.Clock.Advance(TimeSpan.FromHours(2));
        await site.RaiseAsync();
        await site.RaiseAsync();

        Assert.Equal(2, (await site.Store.ListAsync(Everywhere, openOnly: false, null, 10, Stop)).Items.Count);
    }

    [Fact]
    public async Task TestMessage_GoesToEveryChannelOnceADay()
    {
        await using var site = await AlarmSite.StartAsync();

        await site.RoundAsync();
        await site.RoundAsync(TimeSpan.FromHours(1));
        Assert.Equal((1, 1), (site.Tested.Count, site.Mail.Messages.Count));

        // 2 March 2026, 11:00 in London; the next is due at 09:00.
        await site.RoundAsync(TimeSpan.FromHours(21) + TimeSpan.FromMinutes(59));
        Assert.Single(site.Tested);
        await site.RoundAsync(TimeSpan.FromMinutes(1));
        Assert.Equal((2, 2), (site.Tested.Count, site.Mail.Messages.Count));
    }

    [Fact]
    public async Task TestMessageThatFails_IsTriedUntilItGetsThrough()
    {
        await using var site = await AlarmSite.StartAsync();
        site.Hook(500);

        await site.RoundAsync();
        Assert.NotNull((await site.ChannelAsync("duty")).FailingSince);
        site.Hook(200);
        await site.RoundAsync(TimeSpan.FromMinutes(5));

        Assert.Null((await site.ChannelAsync("duty")).FailingSince);
        Assert.Single(site.Tested.Select(message => message.Headers!["Ear-Message-Id"].Single()).Distinct());
    }

    [Theory]
    [InlineData("2026-03-28T10:00:00Z", "2026-03-29T08:00:00Z")] // 29 March 2026: summer time begins, 09:00 is 08:00 UTC
    [InlineData("2026-03-29T07:59:59Z", "2026-03-29T08:00:00Z")]
    [InlineData("2026-10-25T12:00:00Z", "2026-10-26T09:00:00Z")]
    public async Task NextTest_IsAtTheSameTimeOfDayAllYear(string now, string next)
    {
        await using var site = await AlarmSite.StartAsync();

        Assert.Equal(DateTimeOffset.Parse(next, System.Globalization.CultureInfo.InvariantCulture), site.Rounds.NextTest(DateTimeOffset.Parse(now, System.Globalization.CultureInfo.InvariantCulture)));
    }

    private static Task<AcknowledgeOutcome> AcknowledgeAsync(AlarmSite site, string id, string person) =>
        site.Store.AcknowledgeAsync(Everywhere, id, new Acknowledgement(site.Fixture.Clock.GetUtcNow(), person, null), "test", "request", Stop);
}
