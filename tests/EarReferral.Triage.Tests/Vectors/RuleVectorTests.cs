using EarReferral.Testing;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using EarReferral.Triage.Rules;

namespace EarReferral.Triage.Tests.Vectors;

/// <summary>The published rule book against vectors written from the published sources; each vector names its own.</summary>
public sealed class RuleVectorTests
{
    public static RuleBook Book { get; } = RuleBook.Load(
        Directory.GetFiles(Repository.At("profiles", "rules"), "*.json").Select(file => (Path.GetFileName(file), File.ReadAllBytes(file))));

    public static TheoryData<string> Ids { get; } = [.. RuleVector.All.Select(vector => vector.Id)];

    [Theory]
    [MemberData(nameof(Ids))]
    public void Vector_GetsTheAnswerOfItsSource(string id)
    {
        var vector = RuleVector.All.Single(candidate => candidate.Id == id);
        var decision = Decide(vector);

        Assert.Equal([], Disagreements(vector, decision));
    }

    [Fact]
    public void EveryRule_HasAVectorThatFiresAndOneThatDoesNot()
    {
        var uncovered =
            from rule in Book.Rules
            let expectations = RuleVector.All.Where(vector => vector.Rule == rule.Id).Select(vector => vector.Expect).ToHashSet()
            where !expectations.Contains(Expectation.Fires) || !expectations.Contains(Expectation.Silent)
            select rule.Id;

        Assert.Equal([], uncovered);
    }

    internal static TriageDecision Decide(RuleVector vector) =>
        TriageEngine.Decide(Book, VectorRecord.Of(vector), vector.EvaluatedAt, TimeZoneInfo.FindSystemTimeZoneById(vector.Zone));

    private static IEnumerable<string> Disagreements(RuleVector vector, TriageDecision decision)
    {
        var fired = decision.Fired.Any(rule => rule.Id == vector.Rule);
        var open = decision.Questions.Any(question => question.RuleId == vector.Rule);
        var said = (fired, open) switch
        {
            (true, _) => Expectation.Fires,
            (false, true) => Expectation.CannotExclude,
            (false, false) => Expectation.Silent,
        };
        if (said != vector.Expect)
        {
            yield return $"{vector.Rule}: expected {vector.Expect}, said {said}. {vector.Why} ({vector.Source})";
        }

        if (vector.Tier is { } tier && decision.Tier.ToString() != tier)
        {
            yield return $"tier: expected {tier}, said {decision.Tier} because of {string.Join(", ", decision.Fired.Select(rule => rule.Id))}";
        }

        // Warnings about a method have no tier of referral and are not counted.
        if (vector.Rules is { } rules && Ids(decision.Fired.Where(rule => rule.Tier is not Tier.T4).Select(rule => rule.Id)) is var all && all != Ids(rules))
        {
            yield return $"rules: expected [{Ids(rules)}], said [{all}]";
        }

        if (vector.Questions is { } questions && Ids(decision.Questions.Select(question => question.RuleId)) is var asked && asked != Ids(questions))
        {
            yield return $"questions: expected [{Ids(questions)}], said [{asked}]";
        }

        static string Ids(IEnumerable<string> ids) => string.Join(", ", ids.Distinct().Order(StringComparer.Ordinal));
    }
}
