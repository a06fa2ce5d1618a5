using System.ComponentModel;
using System.Diagnostics;
using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Testing;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Tests.Vectors;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Triage.Tests.SecondEngine;

/// <summary>
/// A second rule engine in another language, on another implementation of FHIRPath, reads the same published rule book.
/// It knows the rules only from the files, so what the files do not say it cannot decide.
/// </summary>
public sealed class SecondEngineTests
{
    private static readonly JsonSerializerOptions Fhir = new JsonSerializerOptions().ForFhir(ModelInfo.ModelInspector);

    private static string Folder => Repository.At("tests", "EarReferral.Triage.Tests", "SecondEngine");

    [Fact]
    public async Task AnotherFhirPathEngine_DecidesEveryVectorAndEveryMappedVisitTheSame()
    {
        if (!Directory.Exists(Path.Combine(Folder, "node_modules", "fhirpath")))
        {
            Unavailable($"its packages are not installed; run 'npm ci' in {Folder}");
        }

        // Not beside the test program: the gate runs it as a user without rights over the build's output.
        var folder = Directory.CreateTempSubdirectory("ear-engines-");
        using var cleared = new Cleared(folder);
        var results = Path.Combine(folder.FullName, "first-engine.json");
        var decisions = new JsonArray([.. RuleVector.All.Select(Result), .. MappedVisits.All.Select(Result)]);
        await File.WriteAllTextAsync(results, decisions.ToJsonString(), TestContext.Current.CancellationToken);

        var (exitCode, output) = await Compare(results, TestContext.Current.CancellationToken);

        Assert.True(exitCode == 0, output);
        Assert.Contains($"compared {decisions.Count} vectors", output, StringComparison.Ordinal);
    }

    /// <summary>What earlier visits say has to reach the second engine through the stored resources alone, so it must decide something.</summary>
    [Fact]
    public void FactsOfEarlierVisits_DecideAmongTheMappedVisits()
    {
        var visits = MappedVisits.WithHistory.ToDictionary(visit => visit.Id);

        Assert.Equal(
            [("hole-56-days", "R-TR-03"), ("second-failed-irrigation", "R-WX-07"), ("discharge-recurs", "R-IN-06"), ("30-dB-worse-than-a-year-ago", "R-HL-09")],
            new[] { ("hole-56-days", "R-TR-03"), ("second-failed-irrigation", "R-WX-07"), ("discharge-recurs", "R-IN-06"), ("30-dB-worse-than-a-year-ago", "R-HL-09") }
                .Where(pair => visits[pair.Item1].Decision.Fired.Any(rule => rule.Id == pair.Item2)));
        Assert.Equal(
            [],
            new[] { ("hole-55-days", "R-TR-03"), ("hole-contradicted", "R-TR-03"), ("failed-irrigation-too-long-ago", "R-WX-07"), ("discharge-the-same-episode", "R-IN-06"), ("25-dB-worse-in-the-middle", "R-HL-09"), ("other-ear-only", "R-TR-03") }
                .Where(pair => visits[pair.Item1].Decision.Fired.Any(rule => rule.Id == pair.Item2)));
    }

    private static JsonObject Result(RuleVector vector) =>
        Result(vector.Id, vector.EvaluatedAt, vector.Zone, VectorRecord.Of(vector), RuleVectorTests.Decide(vector));

    private static JsonObject Result(MappedVisit visit) => Result(visit.Id, visit.EvaluatedAt, visit.Zone, visit.Bundle, visit.Decision);

    private static JsonObject Result(string id, DateTimeOffset evaluatedAt, string zone, IReadOnlyList<Resource> record, TriageDecision decision)
    {
        var bundle = new Bundle
        {
            Type = Bundle.BundleType.Collection,
            Entry = [.. record.Select(resource => new Bundle.EntryComponent { Resource = resource })],
        };
        return new JsonObject
        {
            ["id"] = id,
            ["evaluatedAt"] = evaluatedAt.ToString("O"),
            ["zone"] = zone,
            ["record"] = JsonNode.Parse(JsonSerializer.Serialize(bundle, Fhir)),
            ["fired"] = Named(decision.Fired.Select(rule => (rule.Id, rule.Side, rule.Tier))),
            ["suppressed"] = Named(decision.Suppressed.Select(rule => (rule.Id, rule.Side, rule.Tier))),
            ["questions"] = Named(decision.Questions.Select(question => (question.RuleId, question.Side, question.Tier))),
        };
    }

    private static JsonArray Named(IEnumerable<(string Rule, DecisionSide? Side, Tier Tier)> rules) =>
        [.. rules.Select(rule => (JsonNode)$"{rule.Rule} {rule.Side?.ToString().ToLowerInvariant() ?? "patient"} {rule.Tier}")];

    private static async Task<(int ExitCode, string Output)> Compare(string results, CancellationToken cancellation)
    {
        var start = new ProcessStartInfo("node", ["compare.mjs", Repository.At("profiles", "rules"), results])
        {
            WorkingDirectory = Folder,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        using var process = Start(start);
        var output = process.StandardOutput.ReadToEndAsync(cancellation);
        var errors = process.StandardError.ReadToEndAsync(cancellation);
        await process.WaitForExitAsync(cancellation);
        return (process.ExitCode, await output + await errors);
    }

    private static Process Start(ProcessStartInfo start)
    {
        try
        {
            return Process.Start(start)!;
        }
        catch (Win32Exception error)
        {
            Unavailable($"Node could not be started: {error.Message}");
            throw;
        }
    }

    /// <summary>Skips, so that plain <c>dotnet test</c> works without Node, but fails where Node is required.</summary>
    private static void Unavailable(string reason)
    {
        var message = $"The second rule engine did not run: {reason}.";
        Assert.SkipUnless(Environment.GetEnvironmentVariable("REQUIRE_NODE") == "1", message);
        Assert.Fail(message);
    }

    private sealed class Cleared(DirectoryInfo folder) : IDisposable
    {
        public void Dispose() => folder.Delete(recursive: true);
    }
}
