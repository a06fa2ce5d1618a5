using EarReferral.Mapping.Referral;
using EarReferral.Triage.Decisions;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Tests.Referral;

public sealed class TierPriorityTests
{
    [Theory]
    [InlineData(Tier.T0, RequestPriority.Stat, "HL7 request-priority: stat is immediate, highest, e.g. an emergency")]
    [InlineData(Tier.T1, RequestPriority.Asap, "HL7 request-priority: asap is above urgent; NICE NG98 1.1.2 immediately = 24 hours")]
    [InlineData(Tier.T2, RequestPriority.Urgent, "HL7 request-priority: urgent is above routine; NICE NG98 1.1.2 urgently = 2 weeks")]
    [InlineData(Tier.T2C, RequestPriority.Urgent, "suspected cancer shares urgent and has its own category")]
    [InlineData(Tier.T3, RequestPriority.Routine, "HL7 request-priority: routine has normal priority")]
    [InlineData(Tier.T4, null, "no referral, so nothing to give a priority to")]
    public void Each_tier_has_its_priority(Tier tier, RequestPriority? priority, string reason)
    {
        Assert.NotEmpty(reason);
        Assert.Equal(priority, TierPriority.Of(tier));
    }
}
