using System.ComponentModel;
using System.Diagnostics;
using System.Text.Json.Nodes;
using EarReferral.Journeys.Tests.Processes;
using EarReferral.Testing;

namespace EarReferral.Journeys.Tests.SecondEngine;

/// <summary>Two client libraries of others (npm fhir-kit-client and fhirclient) read the record; both know FHIR R4 and nothing of this gateway.</summary>
public sealed class ForeignClientTests(RunningWorld running) : IClassFixture<RunningWorld>
{
    private static string Folder => Repository.At("tests", "EarReferral.Journeys.Tests", "SecondEngine");

    [Fact]
    public async Task ForeignClients_SearchPageReadAndOperateUnmodified()
    {
        if (!Directory.Exists(Path.Combine(Folder, "node_modules", "fhir-kit-client")))
        {
            Unavailable($"the packages are not installed; run 'npm ci' in {Folder}");
        }

        var document = World.Fresh("01-");
        var (status, _) = await running.World.PostAsync(document, TestContext.Current.CancellationToken);
        Assert.Equal(201, status);
        var number = ((string)document["patient"]!["nhsNumber"]!["value"]!).Replace(" ", "", StringComparison.Ordinal);

        var seen = JsonNode.Parse(await RunAsync("clients.mjs", $"{running.World.Gateway}/fhir", number))!;

        var (kit, smart) = (seen["kit"]!, seen["smart"]!);
        Assert.Equal(("4.0.1", "4.0.1"), ((string)kit["fhirVersion"]!, (string)smart["fhirVersion"]!));
        Assert.Equal((2, 2), ((int)kit["procedures"]!, (int)smart["procedures"]!));
        var total = (int)kit["total"]!;
        Assert.All([kit, smart], each => Assert.Equal((total, total), ((int)each["met"]!, (int)each["distinct"]!)));
        Assert.Equal((total + 6) / 7, (int)kit["pages"]!);
        Assert.Equal(("document", "history", "1"), ((string)kit["document"]!, (string)kit["history"]!, (string)kit["version"]!));
        Assert.True((bool)kit["everything"]! && (bool)kit["batch"]!);
        Assert.All([kit, smart], each => Assert.Equal(405, (int)each["create"]!));
        Assert.Equal(404, (int)smart["unknown"]!);
        Assert.Equal(304, (int)kit["conditional"]!);
    }

    private static async Task<string> RunAsync(string program, params string[] arguments)
    {
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
        var message = $"NOT RUN, foreign clients: {reason}.";
        Assert.SkipUnless(Environment.GetEnvironmentVariable("REQUIRE_NODE") == "1", message);
        Assert.Fail(message);
    }
}
