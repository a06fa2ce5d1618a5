using EarReferral.Delivery.Alarms;
using EarReferral.Delivery.Tests.Fixtures;
using EarReferral.Storage;
using EarReferral.Storage.Alarms;
using WireMock;
using WireMock.RequestBuilders;
using WireMock.ResponseBuilders;
using WireMock.Server;

namespace EarReferral.Delivery.Tests.Alarms;

/// <summary>A site with a webhook for whoever is on duty and e-mail to the lead, both on loopback.</summary>
internal sealed class AlarmSite : IAsyncDisposable
{
    public const string Secret = "a-secret-of-at-least-32-characters";
    private static readonly Reach.Everything Everywhere = new("test");

    private readonly WireMockServer web = WireMockServer.Start();

    public MailServer Mail { get; } = new();

    public DeliveryFixture Fixture { get; private set; } = null!;

    public AlarmStore Store => Fixture.Get<AlarmStore>();

    public AlarmRounds Rounds => Fixture.Get<AlarmRounds>();

    /// <summary>What the webhook got, oldest first; test messages left out.</summary>
    public IReadOnlyList<IRequestMessage> Hooked => [.. web.LogEntries.Select(entry => entry.RequestMessage!).Where(message => message.Path == "/alarm" && !message.Body!.Contains("daily-test", StringComparison.Ordinal))];

    public IReadOnlyList<IRequestMessage> Tested => [.. web.LogEntries.Select(entry => entry.RequestMessage!).Where(message => message.Body?.Contains("daily-test", StringComparison.Ordinal) is true)];

    public int Heartbeats => web.LogEntries.Count(entry => entry.RequestMessage!.Path == "/alive");

    /// <summary>Mails about alarms; test messages left out.</summary>
    public IReadOnlyList<string> Mailed => [.. Mail.Messages.Where(message => !message.Contains("daily test", StringComparison.Ordinal))];

    public static async Task<AlarmSite> StartAsync()
    {
        var site = new AlarmSite();
        site.Hook(200);
        site.web.Given(Request.Create().WithPath("/alive").UsingPost()).RespondWith(Response.Create().WithStatusCode(204));
        site.Fixture = await DeliveryFixture.StartAsync(settings: new Dictionary<string, string?>
        {
            ["Delivery:Alarms:Channels:duty:Kind"] = "webhook",
            ["Delivery:Alarms:Channels:duty:Url"] = $"{site.web.Url}/alarm",
            ["Delivery:Alarms:Channels:duty:Secret"] = Secret,
            ["Delivery:Alarms:Channels:lead:Kind"] = "email",
            ["Delivery:Alarms:Channels:lead:To"] = "lead@harbour-lane.example",
            ["Delivery:Alarms:Channels:lead:From"] = "gateway@harbour-lane.example",
            ["Delivery:Alarms:Channels:lead:Host"] = "127.0.0.1",
            ["Delivery:Alarms:Channels:lead:Port"] = site.Mail.Port.ToString(System.Globalization.CultureInfo.InvariantCulture),
            ["Delivery:Alarms:Channels:lead:Security"] = "none",
            ["Delivery:Alarms:Lists:default:0:Name"] = "clinician on duty",
            ["Delivery:Alarms:Lists:default:0:Channels:0"] = "duty",
            ["Delivery:Alarms:Lists:default:0:Waits:T1"] = "00:10:00",
            ["Delivery:Alarms:Lists:default:1:Name"] = "clinical lead",
            ["Delivery:Alarms:Lists:default:1:Channels:0"] = "lead",
            ["Delivery:Alarms:Heartbeat:Url"] = $"{site.web.Url}/alive",
        });
        return site;
    }

    /// <summary>What the webhook answers from now on.</summary>
    public void Hook(int status) => web.Given(Request.Create().WithPath("/alarm").UsingPost()).AtPriority(0).RespondWith(Response.Create().WithStatusCode(status));

    public Task RaiseAsync(string tier = "T1") => Store.RaiseAsync(
        new AlarmCause($"delivery-overdue/r-1/{tier}", "delivery-overdue", "harbour-lane", "r-1", tier, Fixture.Clock.GetUtcNow().AddMinutes(-20)), Fixture.Clock.GetUtcNow(), TestContext.Current.CancellationToken);

    public async Task RoundAsync(TimeSpan after = default)
    {
        Fixture.Clock.Advance(after);
        await Rounds.RoundAsync(TestContext.Current.CancellationToken);
    }

    public async Task<Alarm> OnlyAlarmAsync() => Assert.Single((await Store.ListAsync(Everywhere, openOnly: false, null, 10, TestContext.Current.CancellationToken)).Items);

    public async Task<IReadOnlyList<AlarmMessage>> MessagesAsync() => await Store.MessagesAsync(Everywhere, (await OnlyAlarmAsync()).Id, TestContext.Current.CancellationToken);

    public async Task<ChannelState> ChannelAsync(string name) =>
        (await Fixture.Get<ChannelStore>().ListAsync(Everywhere, TestContext.Current.CancellationToken)).Single(channel => channel.Name == name);

    public async ValueTask DisposeAsync()
    {
        await Fixture.DisposeAsync();
        Mail.Dispose();
        web.Dispose();
    }
}
