using System.Diagnostics;
using System.Globalization;
using EarReferral.Storage;
using EarReferral.Storage.Audit;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Search;
using EarReferral.Testing;
using EarReferral.Triage.Rules;
using Hl7.Fhir.Model;
using Microsoft.Extensions.DependencyInjection;
using Spectre.Console;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Benchmarks;

/// <summary>
/// How long a search for one patient takes with few and with many stored resources, as a GP practice asks, the audit row included: the first ten
/// thousand are saved as the gateway saves them, the rest are copies of their rows under other ids, and the smaller figure comes from the same run.
/// </summary>
/// <remarks>Arguments: how many resources (1,000,000), and a connection string for PostgreSQL; without one SQLite in a temporary folder.</remarks>
internal static class SearchFigures
{
    private const int First = 10_000, Questions = 400, WarmUp = 60;
    private const string Practice = "MRS42";

    internal static int Print(string[] arguments)
    {
        var wanted = arguments.Length > 0 ? int.Parse(arguments[0], CultureInfo.InvariantCulture) : 1_000_000;
        var folder = Directory.CreateTempSubdirectory("ear-search-figures-");
        try
        {
            var options = arguments.Length > 1
                ? new StorageOptions { Provider = StorageProvider.PostgreSql, ConnectionString = arguments[1] }
                : new StorageOptions { DataFolder = folder.FullName };
            RunAsync(options, wanted, new RowCopies(options)).GetAwaiter().GetResult();
            return 0;
        }
        finally
        {
            Microsoft.Data.Sqlite.SqliteConnection.ClearAllPools();
            folder.Delete(recursive: true);
        }
    }

    private static async Task RunAsync(StorageOptions options, int wanted, RowCopies copies)
    {
        await using var services = new ServiceCollection().AddStorage(options).BuildServiceProvider();
        await services.GetRequiredService<Store>().MigrateAsync(CancellationToken.None);
        List<string> patients = [];
        await AnsiConsole.Progress().StartAsync(async progress =>
        {
            var task = progress.AddTask("saving the first resources", maxValue: First);
            patients = await FillAsync(services.GetRequiredService<EncounterStore>(), task);
        });
        var before = await copies.CountAsync();
        await copies.AnalyseAsync();
        await MeasureAsync(services, [.. patients], before);

        var times = (int)Math.Ceiling((double)wanted / before) - 1;
        await AnsiConsole.Progress().StartAsync(async progress =>
        {
            var task = progress.AddTask("copying rows", maxValue: times);
            for (var copy = 1; copy <= times; copy++)
            {
                await copies.CopyAsync(copy);
                task.Increment(1);
            }
        });
        await copies.AnalyseAsync();
        // Every patient that is asked for is another one, spread over all copies, so that no page is warm only because it was just asked for.
        List<string> spread = [.. Enumerable.Range(0, times + 1).SelectMany(copy => patients.Select(id => RowCopies.Id(id, copy)))];
        await MeasureAsync(services, spread, await copies.CountAsync());
    }

    private static async Task<List<string>> FillAsync(EncounterStore encounters, ProgressTask task)
    {
        var rules = RuleBook.Load(Directory.EnumerateFiles(Repository.At("profiles", "rules")).Select(file => (Path.GetFileName(file), File.ReadAllBytes(file))));
        var patients = new List<string>();
        for (var number = 1; task.Value < First; number++)
        {
            var visit = Visit.Another(rules, number);
            var patient = visit.Record.OfType<Patient>().Single().Id!;
            await encounters.SaveAsync(Revision(visit, number, patient), CancellationToken.None);
            patients.Add(patient);
            task.Increment(visit.Record.Count);
        }

        return patients;
    }

    private static EncounterRevision Revision(Visit visit, int number, string patient)
    {
        var at = new DateTimeOffset(2026, 3, 31, 14, 0, 0, TimeSpan.FromHours(1));
        return new EncounterRevision(
            new Guid(number, 0, 0x4000, 0x80, 0, 0, 0, 0, 0, 0, 9), "harbour-lane", string.Create(CultureInfo.InvariantCulture, $"figure-{number}"), 1, "1", "Europe/London", Guid.Parse(patient), Practice,
            string.Create(CultureInfo.InvariantCulture, $"{number:x64}"), "{}"u8.ToArray(), at, at, "triaged", "T1", false, "{}"u8.ToArray(), "{}"u8.ToArray(), null, visit.Record, null, []);
    }

    private static async Task MeasureAsync(ServiceProvider services, List<string> patients, long stored)
    {
        var resources = services.GetRequiredService<ResourceStore>();
        var audit = services.GetRequiredService<AuditStore>();
        var reach = new Reach.Practice(Practice);
        foreach (var (type, more) in new[] { ("Procedure", string.Empty), ("Composition", string.Empty), ("Observation", "category=exam") })
        {
            var took = new List<double>();
            var matches = 0;
            for (var question = 0; question < Questions + WarmUp; question++)
            {
                // A stride that shares no factor with usual counts walks through all of them in no order.
                var patient = patients[(int)((long)question * 7919 % patients.Count)];
                List<KeyValuePair<string, string>> parameters = [new("patient", $"Patient/{patient}"), .. more.Length == 0 ? [] : new[] { new KeyValuePair<string, string>(more.Split('=')[0], more.Split('=')[1]) }];
                var started = Stopwatch.GetTimestamp();
                var query = SearchParser.Parse(type, parameters, DateTimeOffset.UnixEpoch).Query ?? throw new InvalidDataException("The search is not understood.");
                var page = await resources.SearchAsync(reach, query, null, CancellationToken.None);
                await audit.AppendAsync([new AuditEntry(DateTimeOffset.UnixEpoch, AuditAction.Search, AuditResult.Success, "figures", "harbour-lane", Practice, Guid.Parse(patient), type)], CancellationToken.None);
                if (question >= WarmUp)
                {
                    took.Add(Stopwatch.GetElapsedTime(started).TotalMilliseconds);
                }

                matches += page.Total ?? 0;
            }

            took.Sort();
            Console.WriteLine(string.Create(
                CultureInfo.InvariantCulture,
                $"{stored} stored, {type}?patient={(more.Length == 0 ? string.Empty : $"&{more}")}: p50 {took[took.Count / 2]:0.0} ms, p95 {took[took.Count * 95 / 100]:0.0} ms, worst {took[^1]:0.0} ms, {(double)matches / (Questions + WarmUp):0.0} matches each"));
        }
    }
}
