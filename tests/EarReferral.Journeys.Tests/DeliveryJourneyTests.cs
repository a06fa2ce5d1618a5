using EarReferral.Journeys.Tests.Processes;

namespace EarReferral.Journeys.Tests;

public sealed class DeliveryJourneyTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task GatewayKilledBetweenReceiptAndDelivery_ReferralArrivesOnceAfterRestart()
    {
        await using var world = await World.StartAsync(Stop);
        await world.FaultAsync(new { mode = "status", status = 503, times = 1000 }, Stop);
        var (status, receipt) = await world.PostAsync(World.Example("09-"), Stop);
        Assert.Equal(201, status);
        var referral = (string)receipt["referral"]!["id"]!;

        await world.KillGatewayAsync();
        Assert.Equal(0, await world.AtReceiverAsync("ServiceRequest", referral, Stop));
        await world.FaultAsync(new { mode = "none" }, Stop);
        await world.StartGatewayAsync(Stop);

        Assert.True(await World.UntilAsync(async () => await world.AtReceiverAsync("ServiceRequest", referral, Stop) == 1, Stop), world.GatewayOutput);
        Assert.True(await World.UntilAsync(async () => (string?)(await world.GetAsync($"/referrals/{referral}", Stop)).Body!["execution"] == "received", Stop), world.GatewayOutput);
        Assert.Equal(1, await world.AtReceiverAsync("ServiceRequest", referral, Stop));
    }

    [Fact]
    public async Task ReceiverCutsTheConnectionAfterAccepting_ReferralIsThereOnceAndKnownDelivered()
    {
        await using var world = await World.StartAsync(Stop);
        await world.FaultAsync(new { mode = "resetAfterAccept", times = 1 }, Stop);

        var (status, receipt) = await world.PostAsync(World.Example("10-"), Stop);

        Assert.Equal(201, status);
        var referral = (string)receipt["referral"]!["id"]!;
        Assert.True(await World.UntilAsync(async () => (string?)(await world.GetAsync($"/referrals/{referral}", Stop)).Body!["delivery"] == "delivered", Stop), world.GatewayOutput);
        Assert.Equal(1, await world.AtReceiverAsync("ServiceRequest", referral, Stop));
    }

    [Fact]
    public async Task ReceiverAnswersTwoHundredWithRubbish_IsNotTakenForDelivered()
    {
        await using var world = await World.StartAsync(Stop);
        await world.FaultAsync(new { mode = "garbage200", times = 1000 }, Stop);

        var (_, receipt) = await world.PostAsync(World.Example("09-"), Stop);

        var referral = (string)receipt["referral"]!["id"]!;
        Assert.True(await World.UntilAsync(async () => (await world.GetAsync($"/referrals/{referral}", Stop)).Body!["attempts"]!.AsArray().Count > 0, Stop), world.GatewayOutput);
        Assert.NotEqual("delivered", (string?)(await world.GetAsync($"/referrals/{referral}", Stop)).Body!["delivery"]);
    }
}
