using System.Collections.Concurrent;
using System.Diagnostics;
using System.Net;
using System.Net.Sockets;
using EarReferral.Testing;

namespace EarReferral.Journeys.Tests.Processes;

/// <summary>One of our programs as a process of its own that a test may kill without warning.</summary>
internal sealed class ServiceProcess : IAsyncDisposable
{
    private readonly Process process;
    private readonly ConcurrentQueue<string> output = new();

    private ServiceProcess(Process process) => this.process = process;

    /// <summary>Everything the process printed so far.</summary>
    public string Output => string.Join('\n', output);

    /// <summary>Starts a program of the solution.</summary>
    public static ServiceProcess Start(string project, IEnumerable<string> arguments, IReadOnlyDictionary<string, string>? environment = null)
    {
        var start = new ProcessStartInfo("dotnet", [Program(project), .. arguments]) { RedirectStandardOutput = true, RedirectStandardError = true };
        foreach (var (name, value) in environment ?? new Dictionary<string, string>())
        {
            start.Environment[name] = value;
        }

        var service = new ServiceProcess(new Process { StartInfo = start });
        service.process.OutputDataReceived += (_, line) => service.Keep(line.Data);
        service.process.ErrorDataReceived += (_, line) => service.Keep(line.Data);
        service.process.Start();
        service.process.BeginOutputReadLine();
        service.process.BeginErrorReadLine();
        return service;
    }

    /// <summary>A loopback port that is free now, with a free one behind it.</summary>
    public static int FreePort()
    {
        while (true)
        {
            var listener = new TcpListener(IPAddress.Loopback, 0);
            listener.Start();
            var port = ((IPEndPoint)listener.LocalEndpoint).Port;
            listener.Stop();
            if (port < 60000 && IsFree(port + 1))
            {
                return port;
            }
        }
    }

    /// <summary>Waits until an address answers with success; fails with the process's output when it never does.</summary>
    public async Task AnswersAsync(HttpClient http, Uri address, CancellationToken stop)
    {
        for (var attempt = 0; attempt < 1500 && !process.HasExited; attempt++)
        {
            try
            {
                using var answer = await http.GetAsync(address, stop);
                if (answer.IsSuccessStatusCode)
                {
                    return;
                }
            }
            catch (HttpRequestException)
            {
                // Not listening yet.
            }

            await Task.Delay(100, stop);
        }

        Assert.Fail($"{address} did not answer. Output of the process:\n{Output}");
    }

    /// <summary>Kills the process as <c>kill -9</c> does.</summary>
    public async Task KillAsync()
    {
        process.Kill(entireProcessTree: true);
        await process.WaitForExitAsync();
    }

    /// <summary>Waits for the end and returns the exit code.</summary>
    public async Task<int> ExitAsync(CancellationToken stop)
    {
        await process.WaitForExitAsync(stop);
        return process.ExitCode;
    }

    /// <inheritdoc />
    public async ValueTask DisposeAsync()
    {
        if (!process.HasExited)
        {
            await KillAsync();
        }

        process.Dispose();
    }

    private void Keep(string? line)
    {
        if (line is not null)
        {
            output.Enqueue(line);
        }
    }

    private static bool IsFree(int port)
    {
        try
        {
            var listener = new TcpListener(IPAddress.Loopback, port);
            listener.Start();
            listener.Stop();
            return true;
        }
        catch (SocketException)
        {
            return false;
        }
    }

    private static string Program(string project)
    {
        // .../tests/<this project>/bin/<configuration>/<framework>/
        var own = new DirectoryInfo(AppContext.BaseDirectory.TrimEnd(Path.DirectorySeparatorChar));
        return Repository.At("src", project, "bin", own.Parent!.Name, own.Name, $"{project}.dll");
    }
}
