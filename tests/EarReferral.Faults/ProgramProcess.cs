using System.Diagnostics;
using EarReferral.Testing;

namespace EarReferral.Faults;

/// <summary>One of our programs as a process that is killed without warning; what it prints goes to a file.</summary>
internal sealed class ProgramProcess : IAsyncDisposable
{
    private readonly Process process;
    private readonly TextWriter output;
    private bool isGone;

    private ProgramProcess(Process process, TextWriter output) => (this.process, this.output) = (process, output);

    public static ProgramProcess Start(string project, IEnumerable<string> arguments, IReadOnlyDictionary<string, string> environment, string outputFile)
    {
        var start = new ProcessStartInfo("dotnet", [Program(project), .. arguments]) { RedirectStandardOutput = true, RedirectStandardError = true };
        foreach (var (name, value) in environment)
        {
            start.Environment[name] = value;
        }

        var output = TextWriter.Synchronized(new StreamWriter(outputFile, append: true) { AutoFlush = true });
        var process = new Process { StartInfo = start };
        process.OutputDataReceived += (_, line) => output.WriteLine(line.Data);
        process.ErrorDataReceived += (_, line) => output.WriteLine(line.Data);
        process.Start();
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();
        return new ProgramProcess(process, output);
    }

    /// <summary>Waits until an address answers with success.</summary>
    public async Task AnswersAsync(HttpClient http, Uri address, CancellationToken stop)
    {
        while (true)
        {
            if (process.HasExited)
            {
                throw new InvalidOperationException($"The process behind {address} ended with {process.ExitCode}.");
            }

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
    }

    /// <summary>Ends it as <c>kill -9</c> does.</summary>
    public async Task KillAsync()
    {
        process.Kill();
        await process.WaitForExitAsync();
    }

    /// <summary>Sends it a signal by its name, such as STOP or CONT.</summary>
    public async Task SignalAsync(string name)
    {
        using var kill = Process.Start("kill", [$"-{name}", process.Id.ToString(System.Globalization.CultureInfo.InvariantCulture)]);
        await kill.WaitForExitAsync();
        if (kill.ExitCode != 0)
        {
            throw new InvalidOperationException($"kill -{name} ended with {kill.ExitCode}.");
        }
    }

    public async ValueTask DisposeAsync()
    {
        if (isGone)
        {
            return;
        }

        isGone = true;
        if (!process.HasExited)
        {
            await KillAsync();
        }

        process.Dispose();
        await output.DisposeAsync();
    }

    private static string Program(string project)
    {
        // .../tests/<this project>/bin/<configuration>/<framework>/
        var own = new DirectoryInfo(AppContext.BaseDirectory.TrimEnd(Path.DirectorySeparatorChar));
        return Repository.At("src", project, "bin", own.Parent!.Name, own.Name, $"{project}.dll");
    }
}
