using EarReferral.Encounters;
using EarReferral.Mapping.Referral;
using EarReferral.Mapping.Tests.Support;
using EarReferral.Triage.Decisions;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Tests.Referral;

public sealed class UrgencyTests
{
    [Theory]
    [InlineData(Tier.T3, ClinicTier.T1, null, Tier.T1, ClinicianChoice.Raised, "raising is free")]
    [InlineData(Tier.T3, ClinicTier.T4, null, Tier.T4, ClinicianChoice.Lowered, "lowering T3 needs a reason only")]
    [InlineData(Tier.T1, ClinicTier.T3, null, Tier.T1, ClinicianChoice.LoweringNotConfirmed, "lowering T1 needs a second confirmation")]
    [InlineData(Tier.T0, ClinicTier.T2, " ", Tier.T0, ClinicianChoice.LoweringNotConfirmed, "a blank is no confirmation")]
    [InlineData(Tier.T1, ClinicTier.T3, "Dr Trelawny", Tier.T3, ClinicianChoice.Lowered, "confirmed by a second person")]
    [InlineData(Tier.T2, ClinicTier.T2, null, Tier.T2, ClinicianChoice.None, "the same tier changes nothing")]
    public void Clinicians_tier_counts_only_as_far_as_it_is_safe(Tier rules, ClinicTier chosen, string? confirmedBy, Tier tier, ClinicianChoice choice, string reason)
    {
        Assert.NotEmpty(reason);
        var visit = Chosen(chosen, confirmedBy);

        var urgency = Urgency.Of(visit, Decisions.Fired(visit, Visits.Record(visit), rules));

        Assert.Equal((tier, choice), (urgency.Tier, urgency.Choice));
    }

    [Fact]
    public void Settling_below_an_open_emergency_question_needs_a_second_confirmation()
    {
        var visit = Chosen(ClinicTier.T4, null);
        var decision = Decisions.Fired(visit, Visits.Record(visit), Tier.T3) with { Questions = [new OpenQuestion("R-NE-04", Tier.T0, null, "Is an arm or a leg suddenly weak?", ["neurology-limb-weakness"])] };

        Assert.Equal(ClinicianChoice.LoweringNotConfirmed, Urgency.Of(visit, decision).Choice);
    }

    [Fact]
    public void Raised_without_any_rule_is_a_referral_with_the_clinicians_reason()
    {
        var visit = Chosen(ClinicTier.T2, null);
        var record = Visits.Record(visit);

        var referral = ReferralMapper.Map(visit, record, Decisions.None(visit), Visits.Identity, Decisions.Ent)!;

        Assert.Equal(RequestPriority.Urgent, referral.Request.Priority);
        Assert.Equal("Looks worse than the answers say", Assert.Single(referral.Request.ReasonCode).Text);
        Assert.Equal("2026-04-14T10:00:00+01:00", ((Period)referral.Request.Occurrence!).End); // NICE NG98 1.1.2: urgently = within 2 weeks.
    }

    [Fact]
    public void Raising_never_makes_the_deadline_later()
    {
        var visit = Chosen(ClinicTier.T2, null);
        var decision = Decisions.Fired(visit, Visits.Record(visit), Tier.T3);

        Assert.Equal(decision.Due, Urgency.Of(visit, decision).Due);
    }

    private static ClinicEncounter Chosen(ClinicTier tier, string? confirmedBy)
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        return visit with
        {
            TierOverride = new TierOverride { Tier = tier, Reason = "Looks worse than the answers say", Person = "Ruth Okafor", At = visit.EvaluationInstant, ConfirmedBy = confirmedBy },
        };
    }
}
