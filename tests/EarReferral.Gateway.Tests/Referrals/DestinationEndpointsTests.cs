using System.Net;
using System.Text.Json.Nodes;
using EarReferral.Gateway.CommandLine;

namespace EarReferral.Gateway.Tests.Referrals;

/// <summary>No ENT system listens here: looking at it parks it, and encounters are taken all the same.</summary>
public sealed class DestinationEndpointsTests(RunningGateway gateway) : IClassFixture<RunningGateway>
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task UnreachableDestination_IsParkedWithAnAlarm_WhileTheIntakeAnswers()
    {
        var before = await ListAsync();
        using var verified = await gateway.Client.PostAsync(new Uri("/destinations/westerquay-ent/verification", UriKind.Relative), null, Stop);
        await gateway.Get<EarReferral.Gateway.Attention.AttentionWatch>().LookAsync(Stop);

        Assert.False((bool)before["parked"]!); // the start itself asked nobody
        Assert.Equal(HttpStatusCode.Conflict, verified.StatusCode);
        Assert.True((bool)(await ListAsync())["parked"]!);
        Assert.Contains("\"destination-parked\"", await gateway.Client.GetStringAsync(new Uri("/alarms?count=200", UriKind.Relative), Stop), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Created, await gateway.PostWhenReadyAsync(EarReferral.Gateway.Demo.Example.All().First(each => each.Tier == "T1").Encounter.ToJsonString()));
        Assert.Equal((ExitCode.Failed, ExitCode.Failed, ExitCode.Done), (await RunAsync("verify", "westerquay-ent"), await RunAsync("verify", "nowhere"), await RunAsync("list")));
    }

    private async Task<JsonNode> ListAsync() => JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri("/destinations", UriKind.Relative), Stop))!["items"]!.AsArray().Single(item => (string?)item!["name"] == "westerquay-ent")!;

    private async Task<int> RunAsync(params string[] line)
    {
        await using var words = new StringWriter();
        var urls = new System.CommandLine.Option<string>("--urls") { DefaultValueFactory = _ => gateway.Client.BaseAddress!.ToString() };
        return await DestinationsCommand.Create(urls, words, words).Parse(line).InvokeAsync(cancellationToken: Stop);
    }
}
