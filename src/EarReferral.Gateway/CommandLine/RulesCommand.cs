using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using EarReferral.Gateway.Hosting;
using EarReferral.Gateway.Rules;
using EarReferral.Storage;
using EarReferral.Storage.Encounters;
using EarReferral.Triage.Rules;
using Spectre.Console;

namespace EarReferral.Gateway.CommandLine;

/// <summary>The verb <c>rules</c>: check a rule set, and try it before it decides anything.</summary>
internal static class RulesCommand
{
    private static readonly JsonSerializerOptions Web = new(JsonSerializerDefaults.Web) { WriteIndented = true };

    /// <summary>The verb with its own verbs.</summary>
    public static Command Create(Option<DirectoryInfo> data)
    {
        var with = new Option<DirectoryInfo>("--with") { Description = "Folder of the candidate rule set.", Required = true };
        var overlay = new Option<DirectoryInfo>("--overlay") { Description = "Folder of the local policy that goes with it." };
        var since = new Option<DateOnly?>("--since") { Description = "Only encounters decided on or after this day (UTC)." };
        var json = new Option<bool>("--json") { Description = "Print the result as JSON." };
        var csv = new Option<bool>("--csv") { Description = "Print the differences as comma-separated values." };
        var html = new Option<bool>("--html") { Description = "Print the result as a page of its own." };
        var compare = new Command("compare", "Decides the stored encounters again under another rule set and says what differs. Changes nothing.") { with, overlay, since, data, json, csv, html };
        compare.Validators.Add(parsed =>
        {
            if (new[] { json, csv, html }.Count(option => parsed.GetValue(option)) > 1)
            {
                parsed.AddError("Choose one of --json, --csv and --html.");
            }
        });
        compare.SetAction((parsed, stop) => CompareAsync(
            parsed.GetValue(with)!,
            parsed.GetValue(overlay),
            parsed.GetValue(since),
            parsed.GetValue(data)!,
            parsed.GetValue(json) ? Json : parsed.GetValue(csv) ? ComparisonText.Csv : parsed.GetValue(html) ? ComparisonText.Html : null,
            stop));
        return new Command("rules", "The red-flag rules.") { compare, Check() };
    }

    private static Command Check()
    {
        var with = new Option<DirectoryInfo>("--with")
        {
            Description = "Folder of the rule set; without it, the one that the program was built with.",
            DefaultValueFactory = _ => new DirectoryInfo(RuleFolder.Published),
        };
        var overlay = new Option<DirectoryInfo>("--overlay") { Description = "Folder of a local policy on it." };
        var check = new Command("check", "Checks a rule set in full and names every problem, without network or store. Exit code 0: sound, 1: not sound, 2: wrong usage.") { with, overlay };
        check.SetAction((parsed, _) => CheckAsync(parsed.GetValue(with)!, parsed.GetValue(overlay), Console.Out, Console.Error));
        return check;
    }

    /// <summary>Checks a rule set with its local policy.</summary>
    /// <param name="with">Folder of the set.</param>
    /// <param name="overlay">Folder of the policy, or null.</param>
    /// <param name="results">Where problems, or version, hash and changes, go.</param>
    /// <param name="complaints">Where complaints about the command line go.</param>
    /// <returns><see cref="ExitCode"/>: done when the set is sound, failed when it is not or cannot be read.</returns>
    internal static async Task<int> CheckAsync(DirectoryInfo with, DirectoryInfo? overlay, TextWriter results, TextWriter complaints)
    {
        List<DirectoryInfo> missing = [.. new[] { with, overlay }.OfType<DirectoryInfo>().Where(folder => !folder.Exists)];
        foreach (var folder in missing)
        {
            await complaints.WriteLineAsync($"There is no folder {folder.FullName}.");
        }

        if (missing.Count > 0)
        {
            return ExitCode.Usage;
        }

        try
        {
            var problems = RuleFolder.Check(with.FullName, overlay?.FullName);
            foreach (var problem in problems)
            {
                await results.WriteLineAsync(problem);
            }

            if (problems.Count > 0)
            {
                await results.WriteLineAsync($"{problems.Count} problem(s); this set decides nothing.");
                return ExitCode.Failed;
            }

            var book = RuleFolder.Load(with.FullName, overlay?.FullName);
            foreach (var change in book.LocalChanges)
            {
                await results.WriteLineAsync(change);
            }

            await results.WriteLineAsync($"Sound: version {book.Version.Version}, {book.Rules.Count} rules, SHA-256 {book.Version.Sha256}.");
            return ExitCode.Done;
        }
        catch (Exception unreadable) when (unreadable is IOException or UnauthorizedAccessException)
        {
            await complaints.WriteLineAsync($"Not checked: {unreadable.Message}");
            return ExitCode.Failed;
        }
    }

    private static async Task<int> CompareAsync(DirectoryInfo with, DirectoryInfo? overlay, DateOnly? since, DirectoryInfo data, Func<ComparisonReport, string>? print, CancellationToken stop)
    {
        if (!with.Exists)
        {
            await Console.Error.WriteLineAsync($"There is no folder {with.FullName}.");
            return ExitCode.Usage;
        }

        try
        {
            var candidate = RuleFolder.LoadChecked(with.FullName, overlay?.FullName);
            await using var host = GatewayHost.Build(new HostSettings("http://127.0.0.1:0", data.FullName, []));
            if (!await host.Services.GetRequiredService<Store>().SchemaMatchesAsync(stop))
            {
                await Console.Error.WriteLineAsync($"The store in {data.FullName} is empty or of another version. Run 'serve' on it first.");
                return ExitCode.Failed;
            }

            var comparison = host.Services.GetRequiredService<RuleComparison>();
            var progress = AnsiConsole.Create(new AnsiConsoleSettings { Out = new AnsiConsoleOutput(Console.Error) });
            var reach = new Reach.Everything("rule comparison");
            var stored = await host.Services.GetRequiredService<EncounterStore>().CountAsync(reach, stop);
            var watch = TimeProvider.System.GetTimestamp();
            var report = await progress.Progress().StartAsync(async bars =>
            {
                var bar = bars.AddTask("deciding stored encounters again", maxValue: Math.Max(1, stored));
                return await comparison.RunAsync(reach, candidate, since is { } day ? new DateTimeOffset(day.ToDateTime(TimeOnly.MinValue), TimeSpan.Zero) : null, read => bar.Value = read, stop);
            });
            var seconds = TimeProvider.System.GetElapsedTime(watch).TotalSeconds;
            await Console.Error.WriteLineAsync(string.Create(CultureInfo.InvariantCulture, $"{report.Compared} in {seconds:0.0} s, {report.Compared / seconds:0} a second."));
            Print(report, print);
            return ExitCode.Done;
        }
        catch (InvalidRuleBookException unsound)
        {
            await Console.Error.WriteLineAsync(unsound.Message);
            return ExitCode.Failed;
        }
        catch (DirectoryNotFoundException)
        {
            await Console.Error.WriteLineAsync($"There is no store in {data.FullName}.");
            return ExitCode.Failed;
        }
    }

    private static string Json(ComparisonReport report) => JsonSerializer.Serialize(report, Web);

    private static void Print(ComparisonReport report, Func<ComparisonReport, string>? print)
    {
        if (print is not null)
        {
            Console.WriteLine(print(report));
            return;
        }

        AnsiConsole.Profile.Width = Math.Max(AnsiConsole.Profile.Width, 160);
        AnsiConsole.Write(ComparisonText.Table(report));
        foreach (var missed in report.NotCompared)
        {
            Console.WriteLine($"not compared: {missed.Clinic} {missed.EncounterId} revision {missed.Revision}: {missed.Why}");
        }

        Console.WriteLine(ComparisonText.Figures(report));
    }
}
