using System.Net;
using System.Text.Json.Nodes;

namespace EarReferral.Gateway.Tests.Referrals;

public sealed class SendingEndpointsTests(RunningGateway gateway) : IClassFixture<RunningGateway>
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task HeldReferral_IsReleasedOnce()
    {
        var (id, _) = await gateway.StoreAsync("quayside-ent", hold: true);

        var first = await PostAsync($"/referrals/{id}/release", new { person = "Morwenna Tal" });
        var second = await PostAsync($"/referrals/{id}/release", new { person = "Morwenna Tal" });

        Assert.Equal((HttpStatusCode.OK, "waiting"), (first.Status, (string)first.Body["delivery"]!));
        Assert.Equal((HttpStatusCode.Conflict, "https://ear-referral.example/problems/not-held"), (second.Status, (string)second.Body["type"]!));
    }

    [Fact]
    public async Task ReferralThatStoppedForAPerson_IsReplayed()
    {
        var (id, _) = await gateway.StoreAsync(RunningGateway.Unserved);
        await gateway.FailAsync();

        var first = await PostAsync($"/referrals/{id}/replay");
        var second = await PostAsync($"/referrals/{id}/replay");

        Assert.Equal((HttpStatusCode.OK, "waiting"), (first.Status, (string)first.Body["delivery"]!));
        Assert.Equal((HttpStatusCode.Conflict, "https://ear-referral.example/problems/not-replayable"), (second.Status, (string)second.Body["type"]!));
    }

    [Theory]
    [InlineData("/referrals/unknown/replay")]
    [InlineData("/destinations/unknown/resume")]
    public async Task WhatIsNotThere_IsNotFound(string path)
    {
        var (status, body) = await PostAsync(path);

        Assert.Equal(HttpStatusCode.NotFound, status);
        Assert.Equal(404, (int)body["status"]!);
    }

    [Fact]
    public async Task ParkedDestination_IsResumedOnce()
    {
        await gateway.Destinations.PauseAsync(RunningGateway.Destination, paused: true, "delivery", TimeProvider.System.GetUtcNow(), Stop);

        var first = await PostAsync($"/destinations/{RunningGateway.Destination}/resume");
        var second = await PostAsync($"/destinations/{RunningGateway.Destination}/resume");

        Assert.Equal((HttpStatusCode.OK, false), (first.Status, (bool)first.Body["parked"]!));
        Assert.False((await gateway.Destinations.FindAsync(RunningGateway.Destination, Stop)).Paused);
        Assert.Equal((HttpStatusCode.Conflict, "https://ear-referral.example/problems/not-parked"), (second.Status, (string)second.Body["type"]!));
    }

    private async Task<(HttpStatusCode Status, JsonObject Body)> PostAsync(string path, object? body = null)
    {
        using var response = await gateway.Client.PostAsync(new Uri(path, UriKind.Relative), body is null ? null : System.Net.Http.Json.JsonContent.Create(body), Stop);
        return (response.StatusCode, JsonNode.Parse(await response.Content.ReadAsStringAsync(Stop))!.AsObject());
    }
}
