using System.Text.Json.Nodes;
using EarReferral.Journeys.Tests.Processes;

namespace EarReferral.Journeys.Tests;

public sealed class PagingJourneyTests
{
    private const int Posted = 5;

    [Fact]
    public async Task Cursors_LeadThroughEveryEncounterAndReferralOnce()
    {
        var stop = TestContext.Current.CancellationToken;
        await using var world = await World.StartAsync(stop, acknowledgeAfter: "never");
        var encounters = new List<string>();
        var referrals = new List<string>();
        for (var number = 0; number < Posted; number++)
        {
            var document = World.Fresh("09-");
            var (status, receipt) = await world.PostAsync(document, stop);
            Assert.Equal(201, status);
            encounters.Add((string)document["encounterId"]!);
            referrals.Add((string)receipt["referral"]!["id"]!);
        }

        // Lists go by time of change: what still changes would rightly be met again.
        Assert.True(await World.UntilAsync(async () => (await WalkAsync(world, "/referrals", 200, stop)).All(item => (string)item["delivery"]! == "delivered"), stop), world.GatewayOutput);

        Assert.Equal(encounters.Order(), (await WalkAsync(world, "/encounters", 2, stop)).Select(item => (string)item["encounterId"]!).Order());
        Assert.Equal(referrals.Order(), (await WalkAsync(world, "/referrals", 2, stop)).Select(item => (string)item["id"]!).Order());
    }

    private static async Task<List<JsonNode>> WalkAsync(World world, string path, int count, CancellationToken stop)
    {
        var items = new List<JsonNode>();
        string? cursor = null;
        do
        {
            var (status, page) = await world.GetAsync($"{path}?count={count}" + (cursor is null ? "" : $"&cursor={Uri.EscapeDataString(cursor)}"), stop);
            Assert.Equal(200, status);
            var found = page!["items"]!.AsArray();
            Assert.True(found.Count <= count, "No page is larger than asked.");
            items.AddRange(found.Select(item => item!));
            cursor = (string?)page["next"];
        }
        while (cursor is not null && items.Count <= 10 * Posted);

        return items;
    }
}
