using System.Diagnostics;
using EarReferral.Testing;
using EarReferral.Validation;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Benchmarks;

/// <summary>From the start of a fresh process to the first validated bundle: ours, and the stock validator over the same pack.</summary>
internal static class StartFigures
{
    internal static int Print(string[] arguments)
    {
        if (arguments is [var which])
        {
            Child(which == "ours");
            return 0;
        }

        foreach (var who in Enumerable.Repeat(new[] { "ours", "stock" }, 3).SelectMany(pair => pair))
        {
            using var child = Process.Start(Environment.ProcessPath!, Path.GetFileName(Environment.ProcessPath) == "dotnet" ? [typeof(StartFigures).Assembly.Location, "start", who] : ["start", who]);
            child.WaitForExit();
        }

        return 0;
    }

    private static void Child(bool ours)
    {
        var bundle = (Bundle)new FhirJsonDeserializer().DeserializeResource(File.ReadAllText(Repository.At("examples", "bundles", "09-sudden-loss-12-days.bundle.json")));
        var profiles = ProfileSet.Embedded();
        var loaded = Elapsed();
        if (ours)
        {
            var validator = new ReferralValidator(profiles);
            validator.WarmUp();
            var warm = Elapsed();
            var report = validator.Validate(bundle);
            Console.WriteLine($"ours: definitions read at {loaded:0} ms, warm at {warm:0} ms, first bundle of {bundle.Entry.Count} entries at {Elapsed():0} ms, valid: {report.IsValid}");
        }
        else
        {
            ValidationFigures.Judge(ValidationFigures.Stock(profiles), bundle.Entry.Select(entry => entry.Resource!));
            Console.WriteLine($"stock: definitions read at {loaded:0} ms, first bundle of {bundle.Entry.Count} entries at {Elapsed():0} ms");
        }

        using var self = Process.GetCurrentProcess();
        Console.WriteLine($"  memory in use {self.WorkingSet64 / 1048576} MiB, of it managed {GC.GetTotalMemory(forceFullCollection: true) / 1048576} MiB");
    }

    private static double Elapsed()
    {
        using var self = Process.GetCurrentProcess();
        return (DateTime.Now - self.StartTime).TotalMilliseconds;
    }
}
