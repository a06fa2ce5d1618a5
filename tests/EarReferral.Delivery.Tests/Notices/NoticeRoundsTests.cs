using System.Text.Json.Nodes;
using EarReferral.Delivery.Notices;
using EarReferral.Delivery.Tests.Fixtures;
using EarReferral.Storage;
using EarReferral.Storage.Alarms;
using EarReferral.Storage.Referrals;
using WireMock;
using WireMock.RequestBuilders;
using WireMock.ResponseBuilders;
using WireMock.Server;

namespace EarReferral.Delivery.Tests.Notices;

/// <summary>What the software of a clinic is told of its referrals; our own form, signed as in docs/delivery.md.</summary>
public sealed class NoticeRoundsTests : IDisposable
{
    private const string Secret = "a-secret-of-at-least-32-characters";

    private readonly WireMockServer web = WireMockServer.Start();

    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    private IReadOnlyList<IRequestMessage> Told => [.. web.LogEntries.Select(entry => entry.RequestMessage!)];

    [Fact]
    public async Task Change_is_told_once_with_the_reference_and_nothing_of_the_patient()
    {
        await using var fixture = await StartAsync();
        var id = await fixture.QueueAsync();

        await RoundAsync(fixture);
        await RoundAsync(fixture);

        var body = JsonNode.Parse(Assert.Single(Told).Body!)!.AsObject();
        Assert.Equal(["asks", "changedAt", "clinic", "id", "kind", "reference", "tier"], body.Select(member => member.Key).Order(StringComparer.Ordinal));
        Assert.Equal(("referral-changed", "harbour-lane", id, "T1", false), ((string)body["kind"]!, (string)body["clinic"]!, (string)body["reference"]!, (string)body["tier"]!, (bool)body["asks"]!));
    }

    [Fact]
    public async Task Message_is_signed_like_an_alarm()
    {
        await using var fixture = await StartAsync();
        await fixture.QueueAsync();

        await RoundAsync(fixture);

        var message = Assert.Single(Told);
        var (id, time, nonce) = (Header(message, "Ear-Message-Id"), Header(message, "Ear-Timestamp"), Header(message, "Ear-Nonce"));
        byte[] said = [.. System.Text.Encoding.UTF8.GetBytes($"v1\n{id}\n{time}\n{nonce}\n"), .. message.BodyAsBytes!];
        var signed = System.Security.Cryptography.HMACSHA256.HashData(System.Text.Encoding.UTF8.GetBytes(Secret), said);
        Assert.Equal($"v1={Convert.ToHexStringLower(signed)}", Header(message, "Ear-Signature"));
        Assert.Equal((string)JsonNode.Parse(message.Body!)!["id"]!, id);
    }

    [Fact]
    public async Task Next_change_is_told_again_and_several_at_once_as_one()
    {
        await using var fixture = await StartAsync();
        var id = await fixture.QueueAsync();
        await RoundAsync(fixture);

        fixture.Clock.Advance(TimeSpan.FromSeconds(1));
        await fixture.DeliverAsync();
        await fixture.Referrals.AppendEventAsync(new Reach.Everything("test"), id, new ReferralEvent(fixture.Clock.GetUtcNow(), "note", "test"), Cancellation);
        await RoundAsync(fixture);

        Assert.Equal(2, Told.Select(message => Header(message, "Ear-Message-Id")).Distinct().Count());
        Assert.Equal(2, Told.Count);
    }

    [Fact]
    public async Task Webhook_that_fails_gets_the_same_message_again_and_is_seen_to_fail()
    {
        await using var fixture = await StartAsync(503);
        await fixture.QueueAsync();

        await RoundAsync(fixture);
        await RoundAsync(fixture);
        Assert.Single(Told); // not again before a minute
        Assert.NotNull(Assert.Single(await StatesAsync(fixture)).FailingSince);

        Answer(200);
        fixture.Clock.Advance(TimeSpan.FromMinutes(1));
        await RoundAsync(fixture);

        Assert.Equal(2, Told.Count);
        Assert.Single(Told.Select(message => Header(message, "Ear-Message-Id")).Distinct());
        Assert.Null(Assert.Single(await StatesAsync(fixture)).FailingSince);
    }

    [Fact]
    public async Task Redirect_is_not_followed()
    {
        await using var fixture = await StartAsync();
        web.Given(Request.Create().WithPath("/clinic").UsingPost()).AtPriority(-1).RespondWith(Response.Create().WithStatusCode(307).WithHeader("Location", $"{web.Url}/elsewhere"));
        await fixture.QueueAsync();

        await RoundAsync(fixture);

        Assert.Equal("/clinic", Assert.Single(Told).Path);
    }

    [Fact]
    public async Task Clinic_without_webhook_is_told_nothing()
    {
        await using var fixture = await StartAsync(clinic: "other-clinic");
        await fixture.QueueAsync();

        await RoundAsync(fixture);

        Assert.Empty(Told);
    }

    public void Dispose() => web.Dispose();

    private Task<DeliveryFixture> StartAsync(int status = 200, string clinic = "harbour-lane")
    {
        Answer(status);
        return DeliveryFixture.StartAsync(settings: new Dictionary<string, string?>
        {
            [$"Delivery:Notices:{clinic}:Url"] = $"{web.Url}/clinic",
            [$"Delivery:Notices:{clinic}:Secret"] = Secret,
        });
    }

    private void Answer(int status) => web.Given(Request.Create().WithPath("/clinic").UsingPost()).AtPriority(0).RespondWith(Response.Create().WithStatusCode(status));

    private static Task RoundAsync(DeliveryFixture fixture) => fixture.Get<NoticeRounds>().RoundAsync(Cancellation);

    private static Task<IReadOnlyList<ChannelState>> StatesAsync(DeliveryFixture fixture) => fixture.Get<ChannelStore>().ListAsync(new Reach.Everything("test"), Cancellation);

    private static string Header(IRequestMessage message, string name) => message.Headers![name].Single();
}
