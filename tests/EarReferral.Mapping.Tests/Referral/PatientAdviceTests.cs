using EarReferral.Encounters;
using EarReferral.Mapping.Narrative;
using EarReferral.Mapping.Referral;
using EarReferral.Mapping.Tests.Support;
using EarReferral.Triage.Decisions;

namespace EarReferral.Mapping.Tests.Referral;

public sealed class PatientAdviceTests
{
    [Fact]
    public void Slower_promises_of_other_rules_stay_unsaid()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        var text = Instruction(visit, Rule(visit, "R-NE-01", Tier.T0, "emergency"), Rule(visit, "R-HL-08", Tier.T3, "ent"));

        Assert.Contains("Patient text of R-NE-01.", text, StringComparison.Ordinal);
        Assert.DoesNotContain("R-HL-08", text, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(Tier.T0, "Call 999 or go to the emergency department now; do not wait for a call, do not drive yourself.", "a call may come too late")]
    [InlineData(Tier.T1, "If you have not been contacted within 4 hours, go to the emergency department.", "our own proposal")]
    [InlineData(Tier.T2, "If you have heard nothing after 2 working days, call Harbour Lane Ear Care on 01632 960417.", "our own proposal")]
    [InlineData(Tier.T2C, "If you have heard nothing after 2 working days, call Harbour Lane Ear Care on 01632 960417.", "our own proposal")]
    [InlineData(Tier.T3, "If you have heard nothing after 2 weeks, call Harbour Lane Ear Care on 01632 960417.", "our own proposal")]
    public void Each_tier_says_what_to_do_when_nothing_is_heard_and_when_it_gets_worse(Tier tier, string sentence, string reason)
    {
        Assert.NotEmpty(reason);
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));

        var text = Instruction(visit, Rule(visit, "R-HL-01", tier, "ent"));

        Assert.Contains(sentence, text, StringComparison.Ordinal);
        Assert.Contains("If it gets worse, do not wait", text, StringComparison.Ordinal);
        Assert.Contains("01632 960417", text, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(Tier.T0)]
    [InlineData(Tier.T2)]
    public void Patient_who_cannot_telephone_gets_another_way(Tier tier)
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        visit = visit with { Reaching = new ReachingPatient { HearsOnTelephone = Answer.No, Telephone = "07700 900455", Preferred = ContactPreference.TextMessage } };

        var text = Instruction(visit, Rule(visit, "R-HL-01", tier, "ent"));

        Assert.Contains("contact Harbour Lane Ear Care by text message", text, StringComparison.Ordinal);
        Assert.DoesNotContain("01632", text, StringComparison.Ordinal);
        Assert.Contains("sk somebody to call 999", text, StringComparison.Ordinal);
    }

    [Fact]
    public void Urgency_raised_by_the_clinician_promises_nothing_slower()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        visit = visit with { TierOverride = new TierOverride { Tier = ClinicTier.T1, Reason = "worse than it reads", Person = "Ruth Okafor", At = visit.EvaluationInstant } };

        var text = Instruction(visit, Rule(visit, "R-HL-08", Tier.T3, "ent"));

        Assert.DoesNotContain("R-HL-08", text, StringComparison.Ordinal);
        Assert.StartsWith("You must be seen within 24 hours", text, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("2026-03-31T16:41:00+00:00", "5.41 pm on Tuesday 31 March", "summer time in London")]
    [InlineData("2026-03-28T12:05:00+00:00", "12.05 pm on Saturday 28 March", "noon, before the clocks change")]
    [InlineData("2026-03-28T00:30:00+00:00", "12.30 am on Saturday 28 March", "after midnight")]
    public void Deadline_reads_as_one_says_it_on_the_clinics_clock(string instant, string words, string reason)
    {
        Assert.NotEmpty(reason);
        Assert.Equal(words, Words.ForPatient(DateTimeOffset.Parse(instant, System.Globalization.CultureInfo.InvariantCulture), TimeZoneInfo.FindSystemTimeZoneById("Europe/London")));
    }

    private static FiredRule Rule(ClinicEncounter visit, string id, Tier tier, string destination) => Decisions.Rule(visit, id, tier, destination, DecisionSide.Right);

    private static string Instruction(ClinicEncounter visit, params FiredRule[] fired)
    {
        var decision = Decisions.Of(visit, fired);
        return PatientAdvice.Instruction(visit, decision, Urgency.Of(visit, decision));
    }
}
