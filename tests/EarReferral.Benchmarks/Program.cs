using EarReferral.Benchmarks;

// One name, one measurement; what it prints goes into docs/performance.md by hand.
var measurements = new Dictionary<string, Func<string[], int>>(StringComparer.Ordinal)
{
    ["rules"] = RuleBookFigures.Print,
    ["validation"] = ValidationFigures.Print,
    ["memory"] = MemoryFigures.Print,
    ["compare"] = ComparisonFigures.Print,
    ["start"] = StartFigures.Print,
    ["search"] = SearchFigures.Print,
    ["pages"] = PageFigures.Print,
};
if (args is [var name, ..] && measurements.TryGetValue(name, out var measurement))
{
    return measurement(args[1..]);
}

Console.Error.WriteLine($"Name one of: {string.Join(", ", measurements.Keys)}");
return 2;
