using EarReferral.Gateway.Rules;
using EarReferral.Triage.Decisions;

namespace EarReferral.Gateway.Tests.Rules;

public sealed class DecisionDifferenceTests
{
    [Fact]
    public void SameDecision_HasNoDifference() => Assert.True(DecisionDifference.Between(Decision(Tier.T1, [Fired("A", Tier.T1)]), Decision(Tier.T1, [Fired("A", Tier.T1)])).IsNone);

    [Fact]
    public void RuleThatFiresForTheOtherEar_IsBothNewAndGone()
    {
        var difference = DecisionDifference.Between(
            Decision(Tier.T2, [Fired("A", Tier.T2, DecisionSide.Right)]),
            Decision(Tier.T2, [Fired("A", Tier.T2, DecisionSide.Left)]));

        Assert.Equal(["A left ear T2"], difference.NewlyFired);
        Assert.Equal(["A right ear T2"], difference.NoLongerFired);
        Assert.False(difference.IsNone);
    }

    [Fact]
    public void SameRuleInAnotherTier_IsADifferenceEvenWhereTheHighestTierStays()
    {
        var difference = DecisionDifference.Between(
            Decision(Tier.T0, [Fired("A", Tier.T0), Fired("B", Tier.T3)]),
            Decision(Tier.T0, [Fired("A", Tier.T0), Fired("B", Tier.T2)]));

        Assert.Equal(("T0", "T0"), (difference.TierBefore, difference.TierAfter));
        Assert.Equal(["B T2"], difference.NewlyFired);
        Assert.Equal(["B T3"], difference.NoLongerFired);
    }

    [Fact]
    public void QuestionThatCloses_IsADifferenceThoughNothingFires()
    {
        var before = Decision(Tier.T4, []) with { Questions = [new OpenQuestion("A", Tier.T1, null, "Is it?", ["hearing-change"])] };

        var difference = DecisionDifference.Between(before, Decision(Tier.T4, []));

        Assert.Equal(["A T1"], difference.QuestionsClosed);
        Assert.False(difference.IsNone);
    }

    private static TriageDecision Decision(Tier tier, IReadOnlyList<FiredRule> fired) =>
        new(tier, fired, [], new DateTimeOffset(2026, 3, 31, 10, 0, 0, TimeSpan.Zero), new RuleBookVersion("1.0.0", "00"));

    private static FiredRule Fired(string id, Tier tier, DecisionSide? side = null) =>
        new(id, "https://ear-referral.example/fhir/PlanDefinition/a|1.0.0", id, tier, RuleStrength.Must, side, "ent", default, "", "", "", "", []);
}
