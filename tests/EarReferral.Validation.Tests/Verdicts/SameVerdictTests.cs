using System.Globalization;
using System.Text.Json.Nodes;
using EarReferral.Testing;
using EarReferral.Validation.BundleRules;
using EarReferral.Validation.Engine;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Validation.Tests.Verdicts;

/// <summary>
/// The engine that remembers says what the stock engine of the library says: same severity, same place, same rule. Over every resource of
/// the example bundles and over seeded mutations of them; EARREFERRAL_VERDICTS sets how many (300 unless told).
/// </summary>
public sealed class SameVerdictTests
{
    private const int Seed = 20261125;

    private static readonly ProfileSet Profiles = ProfileSet.Embedded();
    private static readonly StockEngine Stock = new(Profiles);
    private static readonly FhirJsonDeserializer Lenient = new(new DeserializerSettings().UsingMode(DeserializationMode.Ostrich));

    private static readonly IReadOnlyList<JsonObject> Examples =
    [
        .. Directory.EnumerateFiles(Repository.At("examples", "bundles"), "*.bundle.json").Order(StringComparer.Ordinal)
            .SelectMany(file => JsonNode.Parse(File.ReadAllText(file))!["entry"]!.AsArray().Select(entry => entry!["resource"]!.AsObject())),
    ];

    [Fact]
    public void ExamplesAndMutations_AreJudgedAsTheStockEngineJudgesThem()
    {
        var wanted = int.Parse(Environment.GetEnvironmentVariable("EARREFERRAL_VERDICTS") ?? "300", CultureInfo.InvariantCulture);
        var chance = new Random(Seed);
        var engine = new ProfileEngine(Profiles);
        var differences = new List<string>();
        var spoiled = 0;
        var used = new Dictionary<string, int>(StringComparer.Ordinal);

        // First everything is remembered that is clean, so that each mutation meets a memory full of its neighbours.
        // In the short run one finding in five; the rest of a visit always.
        foreach (var example in Examples.Where((example, index) => wanted > 300 || index % 5 == 0 || (string?)example["resourceType"] != "Observation"))
        {
            Compare("example", Lenient.DeserializeResource(example.ToJsonString()));
        }

        for (var made = 0; made < wanted;)
        {
            var (name, apply) = Mutations.All[chance.Next(Mutations.All.Count)];
            var json = (JsonObject)Examples[chance.Next(Examples.Count)].DeepClone();
            if (apply(json, chance) && Parse(json) is { } resource && Compare(name, resource) is { } issues)
            {
                made++;
                spoiled += issues > 0 ? 1 : 0;
                used[name] = used.GetValueOrDefault(name) + 1;
            }
        }

        TestContext.Current.SendDiagnosticMessage($"{Examples.Count} examples and {wanted} mutations by {used.Count} operators, {spoiled} of them with issues, {differences.Count} judged differently");
        Assert.Empty(differences);

        // A comparison of clean bills alone, or of refusals alone, would show nothing.
        Assert.InRange(spoiled, wanted / 3, wanted * 9 / 10);
        Assert.True(used.Count >= 40, $"Only {used.Count} operators came to use.");

        int? Compare(string what, Resource resource)
        {
            if (ClaimRule.Read(resource, resource.TypeName, Profiles).Profile is not { } profile)
            {
                return null;
            }

            var expected = Verdict(Stock.Check(resource, profile, resource.TypeName));
            for (var turn = 1; turn <= 2; turn++)
            {
                var given = Verdict(engine.Check(resource, profile, resource.TypeName));
                if (!expected.SequenceEqual(given))
                {
                    differences.Add($"{what}, turn {turn}: stock [{string.Join("; ", expected)}], ours [{string.Join("; ", given)}] on {new FhirJsonSerializer().SerializeToString(resource)}");
                }
            }

            return expected.Count;
        }
    }

    private static Resource? Parse(JsonObject json)
    {
        try
        {
            return Lenient.DeserializeResource(json.ToJsonString());
        }
        catch (Exception failure) when (failure is DeserializationFailedException or InvalidCastException or FormatException or NullReferenceException or ArgumentException or InvalidOperationException)
        {
            // What does not become a resource never reaches the validator; the lenient reader also stumbles over some of it.
            return null;
        }
    }

    private static List<string> Verdict(IEnumerable<ValidationIssue> issues) => [.. issues.Select(issue => $"{issue.Severity} {issue.Location} {issue.RuleId}").Order(StringComparer.Ordinal)];
}
