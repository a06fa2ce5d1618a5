using System.CommandLine;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Demo;
using EarReferral.Gateway.Hosting;
using EarReferral.Gateway.Security;
using EarReferral.Triage.Rules;

namespace EarReferral.Gateway.CommandLine;

/// <summary>The verbs of the program; docs/decisions/0006 freezes their names.</summary>
internal static class GatewayCommands
{
    private const string DefaultUrl = "http://127.0.0.1:5080";

    /// <summary>Runs the verb that the arguments name.</summary>
    public static async Task<int> RunAsync(string[] args)
    {
        var root = new RootCommand("Ear-care encounters in, coded FHIR R4 records and followed ENT referrals out.");
        root.Subcommands.Add(Serve());
        root.Subcommands.Add(Demo());
        root.Subcommands.Add(RulesCommand.Create(Data()));
        root.Subcommands.Add(Check());
        root.Subcommands.Add(VocabularyCommand.Create());
        root.Subcommands.Add(DestinationsCommand.Create(Urls(), Console.Out, Console.Error));
        root.Subcommands.Add(ReferralsCommand.Create(Urls(), Console.Out, Console.Error));
        root.Subcommands.Add(QuarantineCommand.Create(Urls(), Console.Out, Console.Error));
        root.Subcommands.Add(TokenCommand.Create(Urls(), Data(), Console.Out, Console.Error));
        root.Subcommands.Add(AuditCommand.Create(Data(), Console.Out));
        var parsed = root.Parse(args);
        if (parsed.Errors.Count == 0)
        {
            return await parsed.InvokeAsync();
        }

        foreach (var error in parsed.Errors)
        {
            await Console.Error.WriteLineAsync(error.Message);
        }

        return ExitCode.Usage;
    }

    private static Option<string> Urls() => new("--urls")
    {
        Description = "Loopback address to listen on.",
        DefaultValueFactory = _ => DefaultUrl,
    };

    private static Option<DirectoryInfo> Data() => new("--data")
    {
        Description = "Folder that keeps the state.",
        DefaultValueFactory = _ => new DirectoryInfo("data"),
    };

    private static Command Serve()
    {
        var urls = Urls();
        var data = Data();
        var command = new Command("serve", "Runs the gateway until it is stopped.") { urls, data };
        command.SetAction((parsed, stop) => Guarded(parsed.GetValue(urls)!, anywhere: true, async url =>
        {
            var settings = new HostSettings(url, parsed.GetValue(data)!.FullName, []);
            await using var host = GatewayHost.Build(settings);
            await host.RunAsync(stop);
            return ExitCode.Done;
        }));
        return command;
    }

    private static Command Demo()
    {
        var urls = Urls();
        var data = Data();
        var once = new Option<bool>("--once") { Description = "Stop after the run; the exit code tells whether the main job worked." };
        var json = new Option<bool>("--json") { Description = "Print the result as JSON." };
        var command = new Command("demo", "Runs gateway and stand-in ENT receiver on loopback and sends every example through.") { urls, data, once, json };
        command.SetAction((parsed, stop) => Guarded(parsed.GetValue(urls)!, anywhere: false, url => DemoRun.RunAsync(
            new DemoSettings(url, parsed.GetValue(data)!.FullName, parsed.GetValue(once), parsed.GetValue(json)),
            stop)));
        return command;
    }

    private static Command Check()
    {
        var paths = new Argument<string[]>("FILE") { Description = "FHIR R4 resources, JSON or XML; a folder is searched.", Arity = ArgumentArity.OneOrMore };
        var json = new Option<bool>("--json") { Description = "Print the results as JSON." };
        var command = new Command("check", "Checks resources and bundles against the profiles, without network or store. Exit code 0: all valid, 1: some are not, 2: wrong usage.") { paths, json };
        command.SetAction((parsed, stop) => CheckCommand.RunAsync(parsed.GetValue(paths)!, parsed.GetValue(json), Console.Out, Console.Error, stop));
        return command;
    }

    private static async Task<int> Guarded(string urls, bool anywhere, Func<string, Task<int>> run)
    {
        if ((anywhere ? LoopbackUrl.NoAddress(urls) : LoopbackUrl.Refusal(urls)) is { } refusal)
        {
            await Console.Error.WriteLineAsync(refusal);
            return ExitCode.Usage;
        }

        try
        {
            return await run(urls);
        }
        catch (IOException taken) when (taken.InnerException is Microsoft.AspNetCore.Connections.AddressInUseException)
        {
            await Console.Error.WriteLineAsync($"{urls} is taken by another program. Choose another address with --urls.");
            return ExitCode.Failed;
        }
        catch (InvalidRuleBookException unsound)
        {
            foreach (var problem in unsound.Problems)
            {
                await Console.Error.WriteLineAsync(problem);
            }

            return ExitCode.Failed;
        }
        catch (Microsoft.Extensions.Options.OptionsValidationException invalid)
        {
            foreach (var failure in invalid.Failures)
            {
                await Console.Error.WriteLineAsync(failure);
            }

            return invalid.OptionsName == SecurityOptions.Section ? ExitCode.Usage : ExitCode.Failed;
        }
    }
}
