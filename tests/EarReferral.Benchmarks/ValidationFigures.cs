using System.Diagnostics;
using EarReferral.Testing;
using EarReferral.Triage.Rules;
using EarReferral.Validation;
using Firely.Fhir.Validation;
using Hl7.Fhir.Model;
using Hl7.Fhir.Specification.Source;
using Hl7.Fhir.Specification.Terminology;

namespace EarReferral.Benchmarks;

/// <summary>What it costs to judge the record of example 09: the stock validator and ours, one after the other, on the same resources.</summary>
internal static class ValidationFigures
{
    internal static int Print(string[] arguments)
    {
        var rounds = arguments is [var given, ..] ? int.Parse(given, System.Globalization.CultureInfo.InvariantCulture) : 20;
        var profiles = ProfileSet.Embedded();
        var ours = new ReferralValidator(profiles);
        ours.WarmUp();
        var stock = Stock(profiles);
        var rules = RuleBook.Load(Directory.EnumerateFiles(Repository.At("profiles", "rules")).Select(file => (Path.GetFileName(file), File.ReadAllBytes(file))));
        var same = Visit.Another(rules, 0);
        Console.WriteLine($"{same.Record.Count} resources in the record, {same.Transaction.Entry.Count} entries in the transaction");

        var thrown = 0;
        AppDomain.CurrentDomain.FirstChanceException += (_, _) => Interlocked.Increment(ref thrown);
        Console.WriteLine($"first record of ours after the warm-up: {Once(() => Sound(ours.Validate(same.Record))):0.0} ms");
        _ = Once(() => Judge(stock, same.Record));
        thrown = 0;
        _ = Once(() => Judge(stock, same.Record));
        Console.WriteLine($"stock, exceptions thrown and caught within one record: {thrown}");

        Pair("same record", rounds, () => Judge(stock, same.Record), () => Sound(ours.Validate(same.Record)));
        Pair("same transaction", rounds, () => Judge(stock, same.Transaction.Entry.Select(entry => entry.Resource!)), () => Sound(ours.Validate(same.Transaction)));

        // Every round a visit that nobody has seen: other ids, another number, another hour.
        var others = Enumerable.Range(1, (2 * rounds) + 2).Select(number => Visit.Another(rules, number)).ToList();
        var (stocks, own) = (-1, -1);
        Pair("always another record", rounds, () => Judge(stock, others[Interlocked.Increment(ref stocks)].Record), () => Sound(ours.Validate(others[Interlocked.Increment(ref own)].Record)));
        return 0;
    }

    internal static Validator Stock(ProfileSet profiles)
    {
        var resolver = new CachedResolver(new InMemoryResourceResolver(profiles.Definitions));
        return new Validator(resolver, LocalTerminologyService.CreateDefaultForCore(resolver), null, new ValidationSettings { FollowExtensionUrl = (_, url) => url is not null && ((string)url).Contains("UKCore", StringComparison.Ordinal) ? ExtensionUrlHandling.DontResolve : ExtensionUrlHandling.ErrorIfMissing });
    }

    internal static void Judge(Validator stock, IEnumerable<Resource> resources)
    {
        foreach (var resource in resources)
        {
            var outcome = stock.Validate(resource, resource.Meta!.Profile.First());
            if (!outcome.Success)
            {
                throw new InvalidDataException($"The stock validator refuses a {resource.TypeName}: {outcome}");
            }
        }
    }

    internal static void Sound(ValidationReport report)
    {
        if (report.Issues.Count > 0)
        {
            throw new InvalidDataException($"Ours refuses: {report.Issues[0]}");
        }
    }

    private static double Once(Action action)
    {
        var clock = Stopwatch.StartNew();
        action();
        return clock.Elapsed.TotalMilliseconds;
    }

    // Interleaved, so that a slow minute of the machine falls on both.
    private static void Pair(string what, int rounds, Action stock, Action ours)
    {
        stock();
        ours();
        List<double> stockTimes = [], ourTimes = [];
        long stockBytes = 0, ourBytes = 0;
        for (var round = 0; round < rounds; round++)
        {
            var before = GC.GetTotalAllocatedBytes(precise: true);
            stockTimes.Add(Once(stock));
            var between = GC.GetTotalAllocatedBytes(precise: true);
            ourTimes.Add(Once(ours));
            stockBytes += between - before;
            ourBytes += GC.GetTotalAllocatedBytes(precise: true) - between;
        }

        Console.WriteLine($"{what}: stock median {Median(stockTimes):0.0} ms, ours {Median(ourTimes):0.0} ms (worst {ourTimes.Max():0.0}), ratio {Median(stockTimes) / Median(ourTimes):0.0}; allocated {stockBytes / rounds / 1048576.0:0.0} and {ourBytes / rounds / 1048576.0:0.0} MiB ({100.0 * ourBytes / stockBytes:0} %)");
        Console.WriteLine($"{what}, two callers: stock {Throughput(stock, rounds):0.0} and ours {Throughput(ours, rounds):0.0} a second");
    }

    private static double Throughput(Action action, int rounds)
    {
        var clock = Stopwatch.StartNew();
        var callers = Enumerable.Range(0, 2).Select(_ => new Thread(() =>
        {
            for (var round = 0; round < rounds / 2; round++)
            {
                action();
            }
        })).ToList();
        callers.ForEach(caller => caller.Start());
        callers.ForEach(caller => caller.Join());
        return 2 * (rounds / 2) / clock.Elapsed.TotalSeconds;
    }

    private static double Median(List<double> values) => values.Order().ElementAt(values.Count / 2);
}
