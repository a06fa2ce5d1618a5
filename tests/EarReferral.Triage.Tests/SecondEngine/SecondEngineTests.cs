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
    public async Task AnotherFhirPathEngine_DecidesEveryVectorTheSame()
    {
        if (!Directory.Exists(Path.Combine(Folder, "node_modules", "fhirpath")))
        {
            Unavailable($"its packages are not installed; run 'npm ci' in {Folder}");
        }

        // Not beside the test program: the gate runs it as a user without rights over the build's output.
        var folder = Directory.CreateTempSubdirectory("ear-engines-");
        using var cleared = new Cleared(folder);
        var results = Path.Combine(folder.FullName, "first-engine.json");
        var decisions = new JsonArray([.. RuleVector.All.Select(Result)]);
        await File.WriteAllTextAsync(results, decisions.ToJsonString(), TestContext.Current.CancellationToken);

        var (exitCode, output) = await Compare(results, TestContext.Current.CancellationToken);

        Assert.True(exitCode == 0, output);
        Assert.Contains($"compared {RuleVector.All.Count} vectors", output, StringComparison.Ordinal);
    }

    private static JsonObject Result(RuleVector vector)
    {
        var decision = RuleVectorTests.Decide(vector);
        var bundle = new Bundle
        {
            Type = Bundle.BundleType.Collection,
            Entry = [.. VectorRecord.Of(vector).Select(resource => new Bundle.EntryComponent { Resource = resource })],
        };
        return new JsonObject
        {
            ["id"] = vector.Id,
            ["evaluatedAt"] = vector.EvaluatedAt.ToString("O"),
            ["zone"] = vector.Zone,
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
