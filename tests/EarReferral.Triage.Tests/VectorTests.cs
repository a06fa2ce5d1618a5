using EarReferral.Triage.Tests.Cases;

namespace EarReferral.Triage.Tests;

/// <summary>Runs every worked example; each row names its source.</summary>
public sealed class VectorTests
{
    public static TheoryData<string> Ids => [.. Vector.All.Select(vector => vector.Id)];

    [Theory]
    [MemberData(nameof(Ids))]
    public void Worked_example_gives_the_answer_of_its_source(string id)
    {
        var vector = Vector.ById(id);
        var decision = vector.Decide();
        var fired = decision.Fired.Select(rule => rule.Id).Distinct().Order(StringComparer.Ordinal).ToList();
        var asked = decision.Questions.Select(question => question.RuleId).Distinct().ToList();
        var seen = $"{id} ({vector.Why}; {vector.Source}): fired [{string.Join(", ", fired)}], asked [{string.Join(", ", asked)}], tier {decision.Tier}";

        if (vector.Rule is { } rule)
        {
            var actual = fired.Contains(rule) ? "fires" : asked.Contains(rule) ? "cannotExclude" : "silent";
            Assert.True(vector.Expect == actual, $"{rule} expected {vector.Expect}, was {actual}. {seen}");
        }

        if (vector.Tier is { } tier)
        {
            Assert.True(tier == decision.Tier.ToString(), $"expected tier {tier}. {seen}");
        }

        if (vector.Rules is { } rules)
        {
            Assert.True(rules.Order(StringComparer.Ordinal).SequenceEqual(fired), $"expected exactly [{string.Join(", ", rules)}]. {seen}");
        }
    }
}
