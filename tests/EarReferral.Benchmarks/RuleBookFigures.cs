using System.Diagnostics;
using System.Text.Json;
using System.Text.RegularExpressions;
using EarReferral.Testing;
using EarReferral.Triage.Evaluation;
using EarReferral.Triage.Rules;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;
using Hl7.FhirPath;

namespace EarReferral.Benchmarks;

/// <summary>What the rule book costs: to load it, to check it in full, and to decide one encounter with two ears.</summary>
internal static partial class RuleBookFigures
{
    private const int Rounds = 1000;
    private static readonly DateTimeOffset Now = new(2026, 3, 31, 10, 0, 0, TimeSpan.FromHours(1));

    internal static int Print(string[] arguments)
    {
        var files = Directory.EnumerateFiles(Repository.At("profiles", "rules")).Select(file => (Path.GetFileName(file), File.ReadAllBytes(file))).ToList();
        RuleBook? book = null;
        var load = ProcessorTime(() => book = RuleBook.Load(files));
        Console.WriteLine($"load, cold: {load:0} ms of processor time");

        var fhir = new JsonSerializerOptions().ForFhir(ModelInfo.ModelInspector);
        var bundle = JsonSerializer.Deserialize<Bundle>(File.ReadAllBytes(Repository.At("examples", "bundles", arguments is [{ } name] ? name : "01-soft-wax-both-ears.bundle.json")), fhir)!;
        IReadOnlyList<Resource> record = [.. bundle.Entry.Select(entry => entry.Resource).OfType<Resource>()];
        var zone = TimeZoneInfo.FindSystemTimeZoneById("Europe/London");
        Console.WriteLine($"first decision, cold: {ProcessorTime(() => TriageEngine.Decide(book!, record, Now, zone)):0} ms of processor time");

        var decide = Warm(() => TriageEngine.Decide(book!, record, Now, zone), Rounds);
        var published = Published(book!, files.Single(file => file.Item1 == RuleBook.IndexFile).Item2, bundle);
        var direct = Warm(published, Rounds / 100);
        Console.WriteLine($"all {book!.Rules.Count} rules, two ears, warm: {decide:0.000} ms of one core per decision");
        Console.WriteLine($"the published expressions by the FHIRPath library: {direct:0.0} ms; ratio {direct / decide:0}");
        Console.WriteLine($"full check: {ProcessorTime(() => RuleBook.Check(files)):0} ms of processor time");
        return 0;
    }

    /// <summary>The baseline: every variable and every condition evaluated as published, compiled beforehand, for each ear and the patient.</summary>
    private static Action Published(RuleBook book, byte[] index, Bundle bundle)
    {
        var compiler = new FhirPathCompiler();
        var definitions = Definitions(index);
        var variables = book.Variables.Values.Select(variable => (variable.Name, variable.Kind, Expression: compiler.Compile(variable.Expression))).ToList();
        var conditions = book.Rules.Select(rule => compiler.Compile(Expand(rule.Condition, definitions))).ToList();
        IReadOnlyList<PocoNode> focus = [PocoNode.ForPrimitive(new FhirBoolean(true))];
        var root = bundle.ToPocoNode();
        return () =>
        {
            foreach (var (ear, other, side) in new[] { ("25577004", "89644007", "right"), ("89644007", "25577004", "left") })
            {
                var sides = new EvaluationContext { Environment = new Dictionary<string, IEnumerable<PocoNode>> { ["ear"] = Text(ear), ["otherEar"] = Text(other) } };
                var values = new Dictionary<string, IEnumerable<PocoNode>> { ["side"] = Text(side) };
                foreach (var (variable, kind, expression) in variables)
                {
                    // An elapsed time is a number in a condition; the date it is counted from is what the expression gives.
                    List<PocoNode> value = [.. expression([root], sides)];
                    values[variable] = kind is VariableKind.DaysSince or VariableKind.HoursSince or VariableKind.Age && value.Count > 0 ? [PocoNode.ForPrimitive(new Integer(1))] : value;
                }

                var context = new EvaluationContext { Environment = values };
                foreach (var condition in conditions)
                {
                    _ = condition(focus, context).Count();
                }
            }
        };
    }

    private static IReadOnlyList<PocoNode> Text(string text) => [PocoNode.ForPrimitive(new FhirString(text))];

    private static Dictionary<string, string> Definitions(byte[] index)
    {
        using var library = JsonDocument.Parse(index);
        return library.RootElement.GetProperty("parameter").EnumerateArray()
            .Select(parameter => (Name: parameter.GetProperty("name").GetString()!, Parts: parameter.GetProperty("extension")[0].GetProperty("extension").EnumerateArray().ToList()))
            .Where(parameter => parameter.Parts.Exists(part => part.TryGetProperty("valueCode", out var kind) && kind.GetString() == "derived"))
            .ToDictionary(parameter => parameter.Name, parameter => parameter.Parts.Single(part => part.TryGetProperty("valueExpression", out _)).GetProperty("valueExpression").GetProperty("expression").GetString()!);
    }

    private static string Expand(string condition, Dictionary<string, string> definitions)
    {
        var text = condition;
        while (VariableName().Matches(text).Any(match => definitions.ContainsKey(match.Groups[1].Value)))
        {
            text = VariableName().Replace(text, match => definitions.TryGetValue(match.Groups[1].Value, out var definition) ? $"({definition})" : match.Value);
        }

        return text;
    }

    private static double Warm(Action action, int rounds)
    {
        for (var round = 0; round < rounds; round++)
        {
            action();
        }

        return ProcessorTime(() =>
        {
            for (var round = 0; round < rounds; round++)
            {
                action();
            }
        }) / rounds;
    }

    private static double ProcessorTime(Action action)
    {
        var process = Process.GetCurrentProcess();
        var before = process.TotalProcessorTime;
        action();
        process.Refresh();
        return (process.TotalProcessorTime - before).TotalMilliseconds;
    }

    [GeneratedRegex("%([A-Za-z][A-Za-z0-9]*)")]
    private static partial Regex VariableName();
}
