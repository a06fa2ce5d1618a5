using EarReferral.Encounters;
using EarReferral.Mapping.Referral;
using EarReferral.Mapping.Summary;
using EarReferral.Mapping.Tests.Support;
using EarReferral.Triage.Decisions;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Tests.Referral;

public sealed class RuleAnswersTests
{
    private static readonly DateTimeOffset Later = new(2026, 3, 31, 11, 5, 0, TimeSpan.FromHours(1));

    // Tier of the rule, the answer, what it leaves out; then: the tier acted on, whether it counts, whether the call is still to be made.
    public static TheoryData<Tier, RuleResponseKind, AnswerGap?, Tier, bool, bool, string> Vectors { get; } = new()
    {
        { Tier.T2, RuleResponseKind.DeclinedByPatient, null, Tier.T4, true, false, "a person with capacity may decline (Mental Capacity Act 2005, section 1(4))" },
        { Tier.T1, RuleResponseKind.DeclinedByPatient, null, Tier.T4, true, false, "also T1, confirmed a second time" },
        { Tier.T2, RuleResponseKind.DeclinedByPatient, AnswerGap.Capacity, Tier.T2, false, true, "without capacity nobody declines (Mental Capacity Act 2005, section 3)" },
        { Tier.T2, RuleResponseKind.DeclinedByPatient, AnswerGap.Risks, Tier.T2, false, true, "a refusal without knowing the risks is none (Montgomery v Lanarkshire [2015] UKSC 11)" },
        { Tier.T1, RuleResponseKind.DeclinedByPatient, AnswerGap.Confirmation, Tier.T1, false, true, "T0 and T1 need a second confirmation, our own rule" },
        { Tier.T3, RuleResponseKind.AlreadyReferred, null, Tier.T4, true, false, "a second order would be a duplicate" },
        { Tier.T3, RuleResponseKind.AlreadyReferred, AnswerGap.Receiver, Tier.T3, false, true, "to whom, or nobody can look it up" },
        { Tier.T3, RuleResponseKind.AlreadyReferred, AnswerGap.Time, Tier.T3, false, true, "when, or nobody can tell whether it is overdue" },
        { Tier.T0, RuleResponseKind.AlreadyReferred, AnswerGap.Confirmation, Tier.T0, false, true, "a second confirmation for T0" },
        { Tier.T0, RuleResponseKind.HandedOverByPhone, null, Tier.T0, true, false, "the order is the written copy of the call, and the call was made" },
        { Tier.T0, RuleResponseKind.HandedOverByPhone, AnswerGap.Receiver, Tier.T0, false, true, "somebody was phoned, but who" },
        { Tier.T1, RuleResponseKind.HandedOverByPhone, AnswerGap.Time, Tier.T1, false, true, "when" },
        { Tier.T1, RuleResponseKind.HandedOverWithPatient, null, Tier.T1, true, true, "a letter in the patient's hand is no call and no arrival" },
        { Tier.T1, RuleResponseKind.HandedOverWithPatient, AnswerGap.Confirmation, Tier.T1, false, true, "a second confirmation for T1" },
    };

    [Theory]
    [MemberData(nameof(Vectors))]
    public void Answer_counts_only_with_everything_it_needs_and_never_more_than_it_says(
        Tier tier, RuleResponseKind kind, AnswerGap? without, Tier actedOn, bool counts, bool toBePhoned, string reason)
    {
        Assert.NotEmpty(reason);
        var (visit, decision) = Answered(tier, Response(kind, without));

        var answer = Assert.Single(RuleAnswers.Of(visit, decision));

        Assert.Equal(counts, answer.Counts);
        Assert.Equal(without is { } gap ? [gap] : [], answer.Lacking);
        Assert.Equal(actedOn, Urgency.Of(visit, decision).Tier);
        Assert.Equal(toBePhoned, RuleAnswers.Unphoned(visit, decision).Count > 0);
        Assert.Equal("R-HL-01", decision.Fired[0].Id); // The rule goes on firing whatever is answered.
    }

    [Fact]
    public void Declined_rule_makes_no_order_and_stays_in_record_and_summary()
    {
        var (visit, decision) = Answered(Tier.T1, Response(RuleResponseKind.DeclinedByPatient, null));
        var record = Visits.Record(visit);

        Assert.Null(ReferralMapper.Map(visit, record, decision, Visits.Identity, Decisions.Ent));
        var condition = Assert.Single(ConditionMapper.OfSettled(visit, record, decision, Visits.Identity));
        var summary = SummaryMapper.Map(visit, record, decision, null, Visits.Identity, [condition]);

        Assert.Contains(condition.Code!.Coding, coding => coding.Code == "R-HL-01");
        Assert.NotEmpty(Assert.Single(condition.Evidence).Detail); // the finding that the rule rests on
        Assert.Contains(condition.Note, note => note.Text!.StartsWith("DECLINED by the patient", StringComparison.Ordinal));
        var first = summary.Section[0];
        Assert.Contains("DECLINED by the patient: Sudden hearing loss within 30 days, right ear (R-HL-01, within 24 hours). Capacity: has capacity; risks explained: yes. No order stands for it.", first.Text!.Div, StringComparison.Ordinal);
        Assert.Contains("Reason: Right ear: Hearing was lost suddenly", first.Text!.Div, StringComparison.Ordinal);
        Assert.Contains("GP: please offer again what the patient declined", first.Text!.Div, StringComparison.Ordinal);
        Assert.Contains($"Condition/{condition.Id}", first.Entry.Select(entry => entry.Reference));
        Assert.Contains("You can change your mind at any time: call Harbour Lane Ear Care on 01632 960417.", SafetyNet(visit, decision), StringComparison.Ordinal);
    }

    [Fact]
    public void Patient_who_objects_to_sharing_keeps_the_refusal_out_of_the_summary()
    {
        var (visit, decision) = Answered(Tier.T2, Response(RuleResponseKind.DeclinedByPatient, null));
        visit = visit with { Consent = visit.Consent with { SharingWithGp = Answer.No } };
        var record = Visits.Record(visit);

        var text = SummaryMapper.Map(visit, record, decision, null, Visits.Identity).Section[0].Text!.Div!;

        Assert.Contains("objects to sharing with the GP practice", text, StringComparison.Ordinal);
        Assert.DoesNotContain("DECLINED", text, StringComparison.Ordinal);
        Assert.DoesNotContain("lost suddenly", text, StringComparison.Ordinal);
    }

    [Fact]
    public void Less_urgent_rule_that_stands_is_ordered_alone()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        var record = Visits.Record(visit);
        var found = record.Observations[0];
        var decision = Decisions.Of(
            visit,
            [Decisions.Rule(visit, "R-HL-01", Tier.T1, "ent", DecisionSide.Right, found), Decisions.Rule(visit, "R-HL-08", Tier.T3, "ent", DecisionSide.Left, found)]);
        visit = visit with { RuleResponses = [Response(RuleResponseKind.DeclinedByPatient, null)] };

        var referral = ReferralMapper.Map(visit, record, decision, Visits.Identity, Decisions.Ent)!;

        Assert.Equal(RequestPriority.Routine, referral.Request.Priority);
        Assert.Equal(["https://ear-referral.example/fhir/PlanDefinition/R-HL-08|1.0.0"], referral.Request.InstantiatesCanonical);
        Assert.DoesNotContain(referral.Request.ReasonCode, reason => reason.Text!.Contains("R-HL-01", StringComparison.Ordinal));
        Assert.Contains(referral.Request.Note, note => note.Text!.StartsWith("DECLINED by the patient", StringComparison.Ordinal));
    }

    [Fact]
    public void Answer_about_one_ear_leaves_the_other_ear_as_it_is()
    {
        var (visit, decision) = Answered(Tier.T2, Response(RuleResponseKind.AlreadyReferred, null) with { Side = EarSide.Left });

        Assert.Empty(RuleAnswers.Of(visit, decision));
        Assert.Equal(Tier.T2, Urgency.Of(visit, decision).Tier);
    }

    [Fact]
    public void Newest_answer_to_a_rule_holds()
    {
        var first = Response(RuleResponseKind.DeclinedByPatient, null);
        var (visit, decision) = Answered(Tier.T1, first with { Kind = RuleResponseKind.HandedOverByPhone, At = Later.AddHours(1), HandedTo = "Dr Trelawny", HandedAt = Later });
        visit = visit with { RuleResponses = [.. visit.RuleResponses, first] };

        Assert.Equal(RuleResponseKind.HandedOverByPhone, Assert.Single(RuleAnswers.Of(visit, decision)).Response.Kind);
        Assert.Equal(Tier.T1, Urgency.Of(visit, decision).Tier);
    }

    [Theory]
    [InlineData(RuleResponseKind.AlreadyReferred, Tier.T2, "You were already referred to Westerquay General, ENT department (2026-03); we have sent no second referral.")]
    [InlineData(RuleResponseKind.HandedOverByPhone, Tier.T1, "We told Westerquay General, ENT department about you by telephone at 10.50 am on Tuesday 31 March.")]
    [InlineData(RuleResponseKind.HandedOverByPhone, Tier.T0, "Go to Westerquay General, ENT department now, as agreed on the telephone")]
    [InlineData(RuleResponseKind.HandedOverWithPatient, Tier.T1, "You have a letter for Westerquay General, ENT department: take it there yourself (within 24 hours) and show it.")]
    public void Safety_net_says_what_was_answered(RuleResponseKind kind, Tier tier, string sentence)
    {
        var (visit, decision) = Answered(tier, Response(kind, null));

        var text = SafetyNet(visit, decision);

        Assert.Contains(sentence, text, StringComparison.Ordinal);
        Assert.Contains("If it gets worse, do not wait", text, StringComparison.Ordinal);
    }

    [Fact]
    public void Summary_after_a_withdrawn_referral_does_not_say_that_there_was_none()
    {
        var (visit, decision) = Answered(Tier.T2, Response(RuleResponseKind.DeclinedByPatient, null));

        var text = SummaryMapper.Map(visit, Visits.Record(visit), decision, null, Visits.Identity, [], "Westerquay General, ENT department").Section[0].Text!.Div!;

        Assert.Contains("Referral by the clinic to Westerquay General, ENT department: withdrawn. Should it have been sent before, this does not call it back", text, StringComparison.Ordinal);
        Assert.DoesNotContain("Referral by the clinic: none", text, StringComparison.Ordinal);
    }

    private static string SafetyNet(ClinicEncounter visit, TriageDecision decision) => PatientAdvice.Instruction(visit, decision, Urgency.Of(visit, decision));

    private static (ClinicEncounter Visit, TriageDecision Decision) Answered(Tier tier, RuleResponse response)
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        return (visit with { RuleResponses = [response] }, Decisions.Fired(visit, Visits.Record(visit), tier));
    }

    private static RuleResponse Response(RuleResponseKind kind, AnswerGap? without) => new()
    {
        RuleId = "R-HL-01",
        Kind = kind,
        Reason = "Wants to wait.",
        Person = "Ruth Okafor",
        At = Later,
        HandedTo = without is AnswerGap.Receiver || kind is RuleResponseKind.DeclinedByPatient ? null : "Westerquay General, ENT department",
        HandedAt = without is AnswerGap.Time ? null : Later.AddMinutes(-15),
        ReferredOn = without is AnswerGap.Time ? null : new PartialDate(2026, 3),
        Capacity = without is AnswerGap.Capacity ? Capacity.LacksCapacity : Capacity.HasCapacity,
        RisksExplained = without is AnswerGap.Risks ? Answer.NotAsked : Answer.Yes,
        ConfirmedBy = without is AnswerGap.Confirmation ? " " : "Dr Trelawny",
    };
}
