using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Encounters;
using EarReferral.Mapping.Referral;
using EarReferral.Mapping.Tests.Support;
using EarReferral.Testing;
using Hl7.Fhir.Model;
using Hl7.Fhir.Utility;

namespace EarReferral.Mapping.Tests;

/// <summary>Example visits against hand-written expectations and against accepted bundles.</summary>
public sealed class ExampleVisitTests
{
    /// <summary>Set to 1 by a person who has read the differences; never in continuous integration.</summary>
    private const string AcceptSwitch = "ACCEPT_GOLDEN";

    private static readonly JsonSerializerOptions Indented = new() { WriteIndented = true, IndentSize = 1, NewLine = "\n", Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    public static TheoryData<string> Names => [.. ExampleVisits.Names];

    [Theory]
    [MemberData(nameof(Names))]
    public void Bundle_is_as_the_expectation_says(string name)
    {
        var expected = JsonNode.Parse(File.ReadAllText(Repository.At("examples", "expectations", name + ".json")))!;
        var outcome = ExampleVisits.Run(name);

        AssertProcedures(expected, outcome);
        AssertReferral(expected, outcome);
        foreach (var row in expected["mustContain"]!.AsArray())
        {
            Assert.True(outcome.Record.Observations.Any(observation => Matches(observation, row!)), $"missing: {row!.ToJsonString()}");
        }

        foreach (var row in expected["mustNotContain"]!.AsArray())
        {
            Assert.False(outcome.Record.Observations.Any(observation => Matches(observation, row!)), $"must not be there: {row!.ToJsonString()}");
        }

        foreach (var (type, count) in expected["counts"]!.AsObject())
        {
            Assert.Equal((type, count!.GetValue<int>()), (type, outcome.Resources.Count(resource => resource.TypeName == type)));
        }
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void Bundle_satisfies_the_published_schema(string name) => Assert.Empty(R4Schema.Problems(ExampleVisits.Run(name).Bundle));

    [Theory]
    [MemberData(nameof(Names))]
    public void Bundle_is_the_accepted_one(string name)
    {
        var path = Repository.At("examples", "bundles", name + ".bundle.json");
        var actual = JsonNode.Parse(FhirJson.Serialise(ExampleVisits.Run(name).Bundle))!;
        if (Environment.GetEnvironmentVariable(AcceptSwitch) == "1" && Environment.GetEnvironmentVariable("CI") is null)
        {
            Directory.CreateDirectory(Path.GetDirectoryName(path)!);
            File.WriteAllText(path, actual.ToJsonString(Indented) + "\n");
        }

        Assert.True(File.Exists(path), $"No accepted bundle for {name}; read the output and accept it with {AcceptSwitch}=1.");
        var accepted = JsonNode.Parse(File.ReadAllText(path))!;
        if (!Same(accepted, actual))
        {
            Assert.Fail($"{name} differs from its accepted bundle: {FirstDifference(accepted, actual, "$")}");
        }
    }

    private static void AssertProcedures(JsonNode expected, ExampleVisits.Outcome outcome)
    {
        var statuses = outcome.Record.Procedures.ToDictionary(pair => Side(pair.Key), pair => pair.Value.Status!.Value.GetLiteral());
        Assert.Equal(expected["procedures"]!.AsObject().ToDictionary(pair => pair.Key, pair => pair.Value!.GetValue<string>()), statuses);
        foreach (var (side, code) in expected["outcomes"]!.AsObject())
        {
            var procedure = outcome.Record.Procedures.Single(pair => Side(pair.Key) == side).Value;
            Assert.Contains(procedure.Outcome!.Coding, coding => coding.Code == code!.GetValue<string>());
        }
    }

    private static void AssertReferral(JsonNode expected, ExampleVisits.Outcome outcome)
    {
        if (expected["referral"] is { } referral)
        {
            Assert.Equal(referral.GetValue<bool>(), outcome.Referral is not null);
            Assert.Equal(expected["priority"]?.GetValue<string>(), outcome.Referral?.Request.Priority?.GetLiteral());
        }

        if (expected["tier"] is { } tier)
        {
            Assert.Equal(tier.GetValue<string>(), outcome.Decision.Tier.ToString());
        }

        Assert.Empty(expected["rules"]!.AsArray().Select(rule => rule!.GetValue<string>()).Except(outcome.Decision.Fired.Select(rule => rule.Id)));
        Assert.Empty(expected["notRules"]!.AsArray().Select(rule => rule!.GetValue<string>()).Intersect(outcome.Decision.Fired.Select(rule => rule.Id)));
        Assert.Equal(expected["openQuestions"]!.GetValue<bool>(), !outcome.Decision.IsTriaged);
        Assert.Empty((expected["openRules"]?.AsArray() ?? []).Select(rule => rule!.GetValue<string>()).Except(outcome.Decision.Questions.Select(question => question.RuleId)));
        if (expected["side"]?.GetValue<string>() is { } side && outcome.Referral is { } made)
        {
            Assert.Equal(side, outcome.Decision.Fired[0].Side?.ToString().ToLowerInvariant());
            Assert.Contains(made.Request.BodySite, site => site.Text == (side == "right" ? "Right ear" : "Left ear"));
        }
    }

    private static bool Matches(Observation observation, JsonNode row)
    {
        var side = row["side"]?.GetValue<string>();
        var moment = row["moment"]?.GetValue<string>();
        return observation.Code!.Coding.Exists(coding => coding.Code == row["code"]!.GetValue<string>())
            && side == observation.BodySite?.Text?.Split(' ')[0].ToLowerInvariant()
            && (moment is null || observation.Category.Exists(category => category.Coding.Exists(coding => coding.Code == moment)))
            && (row["value"] is not { } value || Value(observation) == value.ToString())
            && (row["absent"] is not { } absent || observation.DataAbsentReason?.Coding[0].Code == absent.GetValue<string>());
    }

    private static string? Value(Observation observation) => observation.Value switch
    {
        CodeableConcept concept => concept.Coding[0].Code,
        Quantity quantity => quantity.Value?.ToString(System.Globalization.CultureInfo.InvariantCulture),
        FhirDateTime date => date.Value,
        FhirString text => text.Value,
        _ => null,
    };

    private static string Side(EarSide side) => side switch { EarSide.Right => "right", EarSide.Left => "left" };

    /// <summary>Compares what is meant, not how a character happens to be escaped.</summary>
    private static bool Same(JsonNode? accepted, JsonNode? actual) => accepted?.ToJsonString(Indented) == actual?.ToJsonString(Indented);

    private static string FirstDifference(JsonNode? accepted, JsonNode? actual, string path)
    {
        if (accepted is JsonObject a && actual is JsonObject b)
        {
            var member = a.Select(pair => pair.Key).Union(b.Select(pair => pair.Key)).First(key => !Same(a[key], b[key]));
            return FirstDifference(a[member], b[member], $"{path}.{member}");
        }

        if (accepted is JsonArray x && actual is JsonArray y && x.Count == y.Count)
        {
            var index = Enumerable.Range(0, x.Count).First(i => !Same(x[i], y[i]));
            return FirstDifference(x[index], y[index], $"{path}[{index}]");
        }

        return $"{path} accepted {accepted?.ToJsonString() ?? "nothing"}, now {actual?.ToJsonString() ?? "nothing"}";
    }
}
