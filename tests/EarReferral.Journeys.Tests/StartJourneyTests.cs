using System.Diagnostics;
using EarReferral.Journeys.Tests.Processes;

namespace EarReferral.Journeys.Tests;

public sealed class StartJourneyTests
{
    private static readonly TimeSpan Early = TimeSpan.FromMilliseconds(300);

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task KilledThreeTimesWhileItsStoreIsBeingMade_BecomesReadyAndTakesAnEncounter()
    {
        await using var world = World.Unstarted();
        for (var kill = 0; kill < 3; kill++)
        {
            // Rounds differ: right after the start, with the first file of the store, and a little later.
            world.LaunchGateway();
            if (kill > 0)
            {
                Assert.True(await HasFilesAsync(world, Stop), world.GatewayOutput);
            }

            await Task.Delay(kill == 1 ? TimeSpan.Zero : Early, Stop);
            await world.KillGatewayAsync();
        }

        await world.StartGatewayAsync(Stop);
        var (status, receipt) = await world.PostAsync(World.Fresh("01-"), Stop);

        Assert.True(status == 201, receipt.ToJsonString());
    }

    [Fact]
    public async Task StartAndPreview_AreMeasured()
    {
        const int requests = 100;
        await using var world = World.Unstarted();
        var begun = Stopwatch.GetTimestamp();
        world.LaunchGateway();
        await world.ReadyAsync(Stop);
        var ready = Stopwatch.GetElapsedTime(begun);
        var document = World.Example("09-");
        Assert.Equal(200, (await world.PostAsync(document, Stop, "/encounters/preview")).Status);
        var first = Stopwatch.GetElapsedTime(begun);

        var times = new List<double>();
        for (var request = 0; request < requests; request++)
        {
            var sent = Stopwatch.GetTimestamp();
            Assert.Equal(200, (await world.PostAsync(document, Stop, "/encounters/preview")).Status);
            times.Add(Stopwatch.GetElapsedTime(sent).TotalMilliseconds);
        }

        // Printed and not judged: a busy machine must not fail a test about correctness.
        times.Sort();
        TestContext.Current.TestOutputHelper!.WriteLine(FormattableString.Invariant(
            $"start to ready {ready.TotalSeconds:F1} s, to first preview answered {first.TotalSeconds:F1} s; {requests} previews of example 09 one after another: p50 {times[requests / 2]:F1} ms, p95 {times[requests * 95 / 100]:F1} ms"));
    }

    private static Task<bool> HasFilesAsync(World world, CancellationToken stop) =>
        World.UntilAsync(() => Task.FromResult(Directory.Exists(world.DataFolder) && Directory.EnumerateFiles(world.DataFolder).Any()), stop, TimeSpan.FromMilliseconds(5));
}
