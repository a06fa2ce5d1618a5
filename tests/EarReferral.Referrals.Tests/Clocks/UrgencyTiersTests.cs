using EarReferral.Referrals.Clocks;

namespace EarReferral.Referrals.Tests.Clocks;

public sealed class UrgencyTiersTests
{
    [Theory]
    [InlineData("T0", ReferralUrgency.Emergency)]
    [InlineData("T1", ReferralUrgency.Immediate)]
    [InlineData("T2", ReferralUrgency.Urgent)]
    [InlineData("T2C", ReferralUrgency.SuspectedCancer)]
    [InlineData("T3", ReferralUrgency.Routine)]
    public void Tier_is_read(string tier, ReferralUrgency urgency) => Assert.Equal(urgency, UrgencyTiers.Read(tier));

    [Theory]
    [InlineData("T4")] // no referral
    [InlineData("t1")]
    [InlineData("")]
    public void Anything_else_is_no_urgency(string tier) => Assert.Null(UrgencyTiers.Read(tier));
}
