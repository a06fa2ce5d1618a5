using System.Diagnostics;

namespace EarReferral.Gateway.Demo;

/// <summary>The stand-in ENT receiver as a process of its own, stopped with the demo.</summary>
internal sealed class SandboxProcess : IAsyncDisposable
{
    private readonly Process process;

    private SandboxProcess(Process process) => this.process = process;

    /// <summary>Starts the receiver and waits until it answers; null when it does not.</summary>
    public static async Task<SandboxProcess?> StartAsync(string url, string dataFolder, string callback, HttpClient http, CancellationToken stop)
    {
        var program = Path.Combine(AppContext.BaseDirectory, "sandbox", "EarReferral.Sandbox.dll");
        var start = new ProcessStartInfo("dotnet", [program, "--urls", url, "--data", dataFolder, "--callback", callback, "--acknowledge-after", "1s", "--accept-after", "3s"])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        var process = Process.Start(start)!;
        process.OutputDataReceived += (_, _) => { };
        process.ErrorDataReceived += (_, line) =>
        {
            if (line.Data is { Length: > 0 } text)
            {
                Console.Error.WriteLine($"ENT stand-in: {text}");
            }
        };
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();
        var sandbox = new SandboxProcess(process);
        for (var attempt = 0; attempt < 100 && !process.HasExited; attempt++)
        {
            try
            {
                using var answer = await http.GetAsync(new Uri($"{url}/fhir/metadata"), stop);
                if (answer.IsSuccessStatusCode)
                {
                    return sandbox;
                }
            }
            catch (HttpRequestException)
            {
                // Not listening yet: the next round asks again, and the loop ends by itself.
            }

            await Task.Delay(TimeSpan.FromMilliseconds(100), stop);
        }

        await sandbox.DisposeAsync();
        return null;
    }

    /// <inheritdoc />
    public async ValueTask DisposeAsync()
    {
        if (!process.HasExited)
        {
            process.Kill(entireProcessTree: true);
            await process.WaitForExitAsync();
        }

        process.Dispose();
    }
}
