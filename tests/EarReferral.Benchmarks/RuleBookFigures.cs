using System.Diagnostics;
using EarReferral.Testing;
using EarReferral.Triage.Rules;

namespace EarReferral.Benchmarks;

/// <summary>What the rule book costs: to load it, and to decide one encounter.</summary>
internal static class RuleBookFigures
{
    internal static int Print(string[] arguments)
    {
        var processor = Process.GetCurrentProcess();
        var before = processor.TotalProcessorTime;
        var clock = Stopwatch.StartNew();
        _ = RuleBook.Load(Directory.EnumerateFiles(Repository.At("profiles", "rules")).Select(file => (Path.GetFileName(file), File.ReadAllBytes(file))));
        processor.Refresh();
        Console.WriteLine($"load: {clock.ElapsedMilliseconds} ms, processor time {(processor.TotalProcessorTime - before).TotalMilliseconds:0} ms");
        return 0;
    }
}
