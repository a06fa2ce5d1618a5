using System.Diagnostics;
using System.Globalization;
using System.Text.RegularExpressions;
using EarReferral.Testing;
using EarReferral.Triage.Rules;
using EarReferral.Validation;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Benchmarks;

/// <summary>What the validator holds on to while it judges one transaction after the other, no two of them alike.</summary>
internal static partial class MemoryFigures
{
    private const int Steps = 20;

    internal static int Print(string[] arguments)
    {
        var count = arguments is [var given, ..] ? int.Parse(given, CultureInfo.InvariantCulture) : 20_000;
        var rules = RuleBook.Load(Directory.EnumerateFiles(Repository.At("profiles", "rules")).Select(file => (Path.GetFileName(file), File.ReadAllBytes(file))));
        var json = new FhirJsonSerializer().SerializeToString(Visit.Another(rules, 0).Transaction);
        var validator = new ReferralValidator(ProfileSet.Embedded());
        validator.WarmUp();
        for (var number = 0; number <= count; number++)
        {
            ValidationFigures.Sound(validator.Validate(Another(json, number)));
            if (number % Math.Max(1, count / Steps) == 0)
            {
                Tell(number);
            }
        }

        GC.KeepAlive(validator);
        return 0;
    }

    /// <summary>The transaction with other identities, another encounter number, other words and other measurements.</summary>
    private static Bundle Another(string json, int number)
    {
        var other = Uuid().Replace(json, found => $"{Convert.ToUInt32(found.Value[..8], 16) ^ (uint)number:x8}{found.Value[8..]}")
            .Replace("HL-2026-0331-09", $"HL-2026-0331-{number}", StringComparison.Ordinal)
            .Replace("thought it was wax", $"thought it was wax, {number}", StringComparison.Ordinal)
            .Replace("\"value\":36.7", $"\"value\":{36 + (number % 1000 / 1000m)}", StringComparison.Ordinal)
            .Replace("\"value\":7,", $"\"value\":{number + 1},", StringComparison.Ordinal);
        return (Bundle)new FhirJsonDeserializer().DeserializeResource(other);
    }

    private static void Tell(int judged)
    {
        var live = GC.GetTotalMemory(forceFullCollection: true) / 1048576.0;
        using var process = Process.GetCurrentProcess();
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{judged,6} bundles judged: {live:0.0} MiB live, {process.WorkingSet64 / 1048576.0:0} MiB working set, {process.TotalProcessorTime.TotalSeconds:0} s of processor time"));
    }

    [GeneratedRegex("[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}", RegexOptions.CultureInvariant)]
    private static partial Regex Uuid();
}
