namespace EarReferral.Faults;

/// <summary>One gateway that is started, killed and started again on the same store.</summary>
internal sealed class GatewayInstance(int number, int port, string folder, IReadOnlyDictionary<string, string> environment, HttpClient http) : IAsyncDisposable
{
    private ProgramProcess? process;

    public int Number => number;

    public string Address => $"http://127.0.0.1:{port}";

    public void Launch() => process = ProgramProcess.Start(
        "EarReferral.Gateway",
        ["serve", "--urls", Address, "--data", Path.Combine(folder, "gateway")],
        environment,
        Path.Combine(folder, $"gateway-{number}.log"));

    public Task ReadyAsync(CancellationToken stop) => process!.AnswersAsync(http, new Uri($"{Address}/health/ready"), stop);

    /// <summary>Kills it and starts it again at once, without waiting until it is ready.</summary>
    public async Task KillAndLaunchAsync()
    {
        await process!.KillAsync();
        await process.DisposeAsync();
        Launch();
    }

    /// <summary>Stands still as a machine does that was put to sleep, or goes on.</summary>
    public Task SignalAsync(string name) => process!.SignalAsync(name);

    public ValueTask DisposeAsync() => process?.DisposeAsync() ?? ValueTask.CompletedTask;
}
