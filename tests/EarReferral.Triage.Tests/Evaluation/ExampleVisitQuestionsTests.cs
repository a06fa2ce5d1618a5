using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Testing;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Triage.Tests.Evaluation;

/// <summary>The rules on the accepted bundles of the example visits, against the hand-written expectation of each visit.</summary>
public sealed class ExampleVisitQuestionsTests
{
    private static readonly JsonSerializerOptions Fhir = new JsonSerializerOptions().ForFhir(ModelInfo.ModelInspector);

    public static TheoryData<string> Names { get; } =
        [.. Directory.GetFiles(Repository.At("examples", "expectations"), "*.json").Select(file => Path.GetFileNameWithoutExtension(file)!).Order(StringComparer.Ordinal)];

    [Theory]
    [MemberData(nameof(Names))]
    public void Complete_visit_raises_no_question_that_its_expectation_does_not_name(string name)
    {
        var expected = Read("expectations", $"{name}.json");
        string[] named = [.. expected["openRules"]?.AsArray().Select(rule => rule!.GetValue<string>()) ?? []];

        Assert.Equal([], Decide(name).Questions.Where(question => !named.Contains(question.RuleId)).Select(question => $"{question.RuleId}: {question.Text}"));
        Assert.Equal(expected["openQuestions"]!.GetValue<bool>(), !Decide(name).IsTriaged);
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void Visit_gets_the_tier_of_its_expectation_and_none_of_the_rules_it_excludes(string name)
    {
        var expected = Read("expectations", $"{name}.json");
        var decision = Decide(name);
        var fired = decision.Fired.Select(rule => rule.Id).ToList();

        Assert.Equal(expected["tier"]?.GetValue<string>() ?? decision.Tier.ToString(), decision.Tier.ToString());
        Assert.Empty(expected["rules"]!.AsArray().Select(rule => rule!.GetValue<string>()).Except(fired));
        Assert.Empty(expected["notRules"]?.AsArray().Select(rule => rule!.GetValue<string>()).Intersect(fired) ?? []);
    }

    private static TriageDecision Decide(string name)
    {
        var visit = Read("encounters", $"{name}.json");
        var bundle = (Bundle)JsonSerializer.Deserialize<Resource>(File.ReadAllBytes(Repository.At("examples", "bundles", $"{name}.bundle.json")), Fhir)!;
        return TriageEngine.Decide(
            RuleBookFiles.Book,
            [.. bundle.Entry.Select(entry => entry.Resource!)],
            visit["evaluationInstant"]!.GetValue<DateTimeOffset>(),
            TimeZoneInfo.FindSystemTimeZoneById(visit["clinicTimeZone"]!.GetValue<string>()));
    }

    private static JsonNode Read(string folder, string file) => JsonNode.Parse(File.ReadAllText(Repository.At("examples", folder, file)))!;
}
