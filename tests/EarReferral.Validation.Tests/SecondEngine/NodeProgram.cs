using System.ComponentModel;
using System.Diagnostics;
using EarReferral.Testing;

namespace EarReferral.Validation.Tests.SecondEngine;

/// <summary>Runs a program of this folder with Node. Skips loudly where there is none, and fails where REQUIRE_NODE is 1.</summary>
internal static class NodeProgram
{
    private static string Folder => Repository.At("tests", "EarReferral.Validation.Tests", "SecondEngine");

    /// <summary>Standard output of the program, which must succeed.</summary>
    public static async Task<string> RunAsync(string program, params string[] arguments)
    {
        if (!Directory.Exists(Path.Combine(Folder, "node_modules", "fhirpath")))
        {
            Unavailable($"its packages are not installed; run 'npm ci' in {Folder}");
        }

        using var process = Start(new ProcessStartInfo("node", [program, .. arguments])
        {
            WorkingDirectory = Folder,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        });
        var stop = TestContext.Current.CancellationToken;
        var (output, errors) = (process.StandardOutput.ReadToEndAsync(stop), process.StandardError.ReadToEndAsync(stop));
        await process.WaitForExitAsync(stop);
        Assert.True(process.ExitCode == 0, await output + await errors);
        return await output;
    }

    private static Process Start(ProcessStartInfo start)
    {
        try
        {
            return Process.Start(start)!;
        }
        catch (Win32Exception error)
        {
            Unavailable($"Node could not be started: {error.Message}");
            throw;
        }
    }

    private static void Unavailable(string reason)
    {
        var message = $"The second opinion did not run: {reason}.";
        Assert.SkipUnless(Environment.GetEnvironmentVariable("REQUIRE_NODE") == "1", message);
        Assert.Fail(message);
    }
}
