using System.Diagnostics;
using System.Globalization;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Encounters.Reading;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Record;
using EarReferral.Storage;
using EarReferral.Storage.Encounters;
using EarReferral.Testing;
using EarReferral.Triage.Evaluation;
using EarReferral.Triage.Rules;
using Microsoft.Extensions.DependencyInjection;
using Spectre.Console;

namespace EarReferral.Benchmarks;

/// <summary>How many stored encounters a second <c>rules compare</c> decides again: a store is filled from the examples, then the program itself is run on it.</summary>
internal static class ComparisonFigures
{
    private const int Usual = 3000;
    private static readonly JsonSerializerOptions Web = new(JsonSerializerDefaults.Web);

    internal static int Print(string[] arguments)
    {
        var count = arguments is [var text] ? int.Parse(text, CultureInfo.InvariantCulture) : Usual;
        Stages();
        var folder = Directory.CreateTempSubdirectory("ear-compare-figures-");
        try
        {
            FillAsync(folder.FullName, count).GetAwaiter().GetResult();
            return Run(folder.FullName);
        }
        finally
        {
            Microsoft.Data.Sqlite.SqliteConnection.ClearAllPools();
            folder.Delete(recursive: true);
        }
    }

    /// <summary>What one of the stages costs, warm, on one core.</summary>
    private static void Stages()
    {
        var raw = File.ReadAllBytes(Repository.At("examples", "encounters", "09-sudden-loss-12-days.json"));
        var options = new EncounterReaderOptions { AllowTestNhsNumbers = true };
        var encounter = EncounterReader.Read(raw, options).Encounter!;
        var identity = new EncounterIdentity(Guid.NewGuid(), Guid.NewGuid(), Guid.NewGuid(), Guid.NewGuid());
        var record = RecordMapper.Map(encounter, identity, MappingContext.BritishEnglish);
        var rules = RuleBook.Load(Directory.EnumerateFiles(Repository.At("profiles", "rules")).Select(file => (Path.GetFileName(file), File.ReadAllBytes(file))));
        var zone = TimeZoneInfo.FindSystemTimeZoneById(encounter.ClinicTimeZone);
        foreach (var (stage, work) in new (string, Action)[]
        {
            ("read", () => EncounterReader.Read(raw, options)),
            ("read what was accepted", () => EncounterReader.ReadAccepted(raw, [])),
            ("map", () => RecordMapper.Map(encounter, identity, MappingContext.BritishEnglish)),
            ("decide", () => TriageEngine.Decide(rules, record.Resources, encounter.EvaluationInstant, zone)),
        })
        {
            Repeat(work, 200);
            var started = Stopwatch.GetTimestamp();
            Repeat(work, 200);
            Console.WriteLine($"{stage}: {Stopwatch.GetElapsedTime(started).TotalMilliseconds / 200:0.00} ms");
        }

        static void Repeat(Action work, int times)
        {
            for (var time = 0; time < times; time++)
            {
                work();
            }
        }
    }

    private static async Task FillAsync(string folder, int count)
    {
        await using var services = new ServiceCollection().AddStorage(new StorageOptions { DataFolder = folder }).BuildServiceProvider();
        await services.GetRequiredService<Store>().MigrateAsync(CancellationToken.None);
        var encounters = services.GetRequiredService<EncounterStore>();
        var rules = RuleBook.Load(Directory.EnumerateFiles(Repository.At("profiles", "rules")).Select(file => (Path.GetFileName(file), File.ReadAllBytes(file))));
        var examples = Directory.GetFiles(Repository.At("examples", "encounters"), "*.json").Order(StringComparer.Ordinal).Select(File.ReadAllText).ToList();
        await AnsiConsole.Progress().StartAsync(async progress =>
        {
            var task = progress.AddTask("storing encounters", maxValue: count);
            for (var number = 0; number < count; number++)
            {
                await encounters.SaveAsync(Revision(examples[number % examples.Count], number, rules), CancellationToken.None);
                task.Increment(1);
            }
        });
    }

    private static EncounterRevision Revision(string example, int number, RuleBook rules)
    {
        var document = JsonNode.Parse(example)!.AsObject();
        document["encounterId"] = string.Create(CultureInfo.InvariantCulture, $"figure-{number}");
        var raw = Encoding.UTF8.GetBytes(document.ToJsonString());
        var encounter = EncounterReader.Read(raw, new EncounterReaderOptions { AllowTestNhsNumbers = true }).Encounter ?? throw new InvalidDataException("An example is not read.");
        var identity = new EncounterIdentity(Guid.NewGuid(), Guid.NewGuid(), Guid.NewGuid(), Guid.NewGuid());
        var record = RecordMapper.Map(encounter, identity, MappingContext.BritishEnglish);
        var decision = TriageEngine.Decide(rules, record.Resources, encounter.EvaluationInstant, TimeZoneInfo.FindSystemTimeZoneById(encounter.ClinicTimeZone));
        return new EncounterRevision(
            identity.Encounter, encounter.Clinic.Id, encounter.EncounterId, 1, encounter.ContractVersion, encounter.ClinicTimeZone, identity.Patient, null, CanonicalJson.Hash(raw), raw,
            encounter.EvaluationInstant, encounter.EvaluationInstant, "triaged", decision.Tier.ToString(), false, "{}"u8.ToArray(), JsonSerializer.SerializeToUtf8Bytes(decision, Web), null, [], null, []);
    }

    private static int Run(string folder)
    {
        var start = new ProcessStartInfo("dotnet", [Repository.At("src", "EarReferral.Gateway", "bin", "Release", "net10.0", "EarReferral.Gateway.dll"), "rules", "compare", "--with", Repository.At("profiles", "rules"), "--data", folder, "--json"])
        {
            RedirectStandardOutput = true,
        };
        using var process = Process.Start(start)!;
        var report = JsonNode.Parse(process.StandardOutput.ReadToEnd())!;
        process.WaitForExit();
        Console.WriteLine($"{report["compared"]} compared, {report["changed"]!.AsArray().Count} differ, {report["notCompared"]!.AsArray().Count} not compared");
        return process.ExitCode;
    }
}
