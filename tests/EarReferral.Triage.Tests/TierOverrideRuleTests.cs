using EarReferral.Triage.Decisions;

namespace EarReferral.Triage.Tests;

public sealed class TierOverrideRuleTests
{
    private static readonly DateTimeOffset Now = new(2026, 3, 31, 9, 0, 0, TimeSpan.Zero);

    [Fact]
    public void Raising_is_free()
    {
        var verdict = TierOverrideRule.Judge(Tier.T3, Tier.T1, null, null, null, null);

        Assert.Equal((Tier.T1, TierOverrideEffect.Raised), (verdict.Tier, verdict.Effect));
    }

    [Fact]
    public void Suspected_cancer_to_urgent_counts_as_raising()
    {
        Assert.Equal(TierOverrideEffect.Raised, TierOverrideRule.Judge(Tier.T2C, Tier.T2, null, null, null, null).Effect);
    }

    [Fact]
    public void Lowering_without_anything_is_refused_and_names_every_gap()
    {
        var verdict = TierOverrideRule.Judge(Tier.T0, Tier.T3, " ", null, null, "");

        Assert.Equal((Tier.T0, TierOverrideEffect.Refused), (verdict.Tier, verdict.Effect));
        Assert.Equal([TierOverrideGap.Reason, TierOverrideGap.Person, TierOverrideGap.Time, TierOverrideGap.SecondConfirmation], verdict.Gaps);
    }

    [Theory]
    [InlineData(Tier.T0, null, TierOverrideEffect.Refused, "emergency without second confirmation")]
    [InlineData(Tier.T1, null, TierOverrideEffect.Refused, "24 hours without second confirmation")]
    [InlineData(Tier.T1, "Dr Imogen Farr", TierOverrideEffect.Lowered, "confirmed")]
    [InlineData(Tier.T2, null, TierOverrideEffect.Lowered, "two weeks needs no second confirmation")]
    public void Lowering_needs_a_second_confirmation_only_from_T0_and_T1(Tier byRules, string? confirmedBy, TierOverrideEffect effect, string why)
    {
        var verdict = TierOverrideRule.Judge(byRules, Tier.T3, "Seen by ENT this morning", "Rowan Ashby", Now, confirmedBy);

        Assert.True(effect == verdict.Effect, why);
        Assert.Equal(effect is TierOverrideEffect.Lowered ? Tier.T3 : byRules, verdict.Tier);
    }

    [Fact]
    public void Same_tier_changes_nothing()
    {
        Assert.Equal(TierOverrideEffect.Unchanged, TierOverrideRule.Judge(Tier.T2, Tier.T2, null, null, null, null).Effect);
    }
}
