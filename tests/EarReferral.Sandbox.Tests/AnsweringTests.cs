namespace EarReferral.Sandbox.Tests;

/// <summary>Order of states: received and under triage first, accepted afterwards; each update names the version it saw (FHIR R4, managing resource contention).</summary>
public sealed class AnsweringTests
{
    private static readonly string[] Both = ["received under-triage W/\"1\"", "accepted accepted W/\"2\""];

    [Fact]
    public async Task An_accepted_task_comes_back_as_received_and_then_as_accepted()
    {
        await using var gateway = await GatewayStandIn.StartAsync();
        await using var sandbox = await RunningSandbox.StartAsync(Answering(gateway));

        await sandbox.PostAsync(ReferralBundle.Of("a"));
        await gateway.WaitForAsync(2);

        Assert.Equal(Both, gateway.Updates);
        Assert.Equal("accepted", await OwnStatusAsync(sandbox, "accepted"));
    }

    [Fact]
    public async Task A_gateway_that_fails_is_told_until_it_listens()
    {
        await using var gateway = await GatewayStandIn.StartAsync(failures: 2);
        await using var sandbox = await RunningSandbox.StartAsync(Answering(gateway));

        await sandbox.PostAsync(ReferralBundle.Of("a"));
        await gateway.WaitForAsync(2);

        Assert.Equal(Both, gateway.Updates);
    }

    [Fact]
    public async Task What_was_told_is_not_told_again_after_a_restart_and_what_was_not_still_is()
    {
        await using var gateway = await GatewayStandIn.StartAsync();
        await using var sandbox = await RunningSandbox.StartAsync(options => Answering(gateway)(options) with { AcceptAfter = null });
        await sandbox.PostAsync(ReferralBundle.Of("a"));
        await gateway.WaitForAsync(1);
        Assert.Equal("received", await OwnStatusAsync(sandbox, "received"));
        await sandbox.StopAsync();

        await sandbox.StartAgainAsync(options => options with { AcceptAfter = TimeSpan.Zero });
        await gateway.WaitForAsync(2);

        Assert.Equal(Both, gateway.Updates);
    }

    [Fact]
    public async Task A_replayed_bundle_is_not_answered_twice()
    {
        await using var gateway = await GatewayStandIn.StartAsync();
        await using var sandbox = await RunningSandbox.StartAsync(Answering(gateway));
        await sandbox.PostAsync(ReferralBundle.Of("a"));
        await gateway.WaitForAsync(2);

        await sandbox.PostAsync(ReferralBundle.Of("a"));
        await Task.Delay(TimeSpan.FromMilliseconds(700), TestContext.Current.CancellationToken);

        Assert.Equal(Both, gateway.Updates);
    }

    [Fact]
    public async Task A_task_that_was_cancelled_meanwhile_is_left_alone()
    {
        await using var gateway = await GatewayStandIn.StartAsync(status: "cancelled");
        await using var sandbox = await RunningSandbox.StartAsync(Answering(gateway));

        await sandbox.PostAsync(ReferralBundle.Of("a"));
        await Until(async () => (await sandbox.GetAsync("/sandbox/received")).Body["answers"]![0]!["done"]!.AsArray().Count == 2);

        Assert.Empty(gateway.Updates);
    }

    private static Func<SandboxOptions, SandboxOptions> Answering(GatewayStandIn gateway) => options => options with
    {
        Callback = gateway.Callback,
        AcknowledgeAfter = TimeSpan.FromMilliseconds(50),
        AcceptAfter = TimeSpan.FromMilliseconds(100),
    };

    /// <summary>The receiver's own copy changes after the gateway has answered, so it may lag a little.</summary>
    private static async Task<string?> OwnStatusAsync(RunningSandbox sandbox, string expected)
    {
        string? status = null;
        await Until(async () =>
        {
            status = (string?)(await sandbox.GetAsync("/fhir/Task?identifier=a-task")).Body["entry"]![0]!["resource"]!["status"];
            return status == expected;
        });
        return status;
    }

    private static async Task Until(Func<Task<bool>> reached)
    {
        using var patience = CancellationTokenSource.CreateLinkedTokenSource(TestContext.Current.CancellationToken);
        patience.CancelAfter(TimeSpan.FromSeconds(20));
        while (!await reached())
        {
            await Task.Delay(50, patience.Token);
        }
    }
}
