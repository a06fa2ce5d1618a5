using System.Text.Json.Nodes;
using EarReferral.Journeys.Tests.Processes;
using EarReferral.Testing;

namespace EarReferral.Journeys.Tests;

public sealed class DemoTests
{
    [Fact]
    public async Task DemoOnce_TwiceOnTheSameFolder_SendsEveryExampleThroughAsStated()
    {
        var stop = TestContext.Current.CancellationToken;
        var folder = Directory.CreateTempSubdirectory("ear-demo-").FullName;
        var url = $"http://127.0.0.1:{ServiceProcess.FreePort()}";
        for (var run = 0; run < 2; run++)
        {
            await using var demo = ServiceProcess.Start("EarReferral.Gateway", ["demo", "--once", "--json", "--urls", url, "--data", folder]);

            var exit = await demo.ExitAsync(stop);

            Assert.True(exit == 0, demo.Output);
        }

        Directory.Delete(folder, recursive: true);
    }

    [Theory]
    [InlineData("http://0.0.0.0:5080", "every interface of the machine")]
    [InlineData("http://192.0.2.7:5080", "an address that others reach (RFC 5737 example)")]
    [InlineData("ftp://127.0.0.1", "not a web address")]
    public async Task ServeOnAnAddressThatIsNotLoopback_IsAWrongCommandLine(string url, string because)
    {
        await using var serve = ServiceProcess.Start("EarReferral.Gateway", ["serve", "--urls", url, "--data", Path.GetTempPath()]);

        Assert.True(await serve.ExitAsync(TestContext.Current.CancellationToken) == 2, because);
    }

    [Fact]
    public void EveryExample_HasAnExpectationWrittenByHand()
    {
        var encounters = Directory.GetFiles(Repository.At("examples", "encounters"), "*.json").Select(Path.GetFileName).Order();
        var expectations = Directory.GetFiles(Repository.At("examples", "expectations"), "*.json");

        Assert.Equal(encounters, expectations.Select(Path.GetFileName).Order());
        Assert.All(expectations, file => Assert.NotNull(JsonNode.Parse(File.ReadAllText(file))!["vector"]));
    }
}
