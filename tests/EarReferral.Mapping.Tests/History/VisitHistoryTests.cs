using EarReferral.Encounters;
using EarReferral.Mapping.History;
using EarReferral.Mapping.Tests.Support;
using EarReferral.Triage.History;

namespace EarReferral.Mapping.Tests.History;

/// <summary>What earlier visits say about an ear that this visit leaves open, at the limits on both sides. The visit of today is on 31 March 2026 in London.</summary>
public sealed class VisitHistoryTests
{
    private static readonly Otoscopy Unseen = new() { Drum = new Drum { Visualised = DrumVisibility.Not } };

    [Theory]
    [InlineData(56, "2026-02-03", "8 weeks: the rule's limit")]
    [InlineData(55, "2026-02-04", "a day less")]
    public void Hole_that_was_there_before_is_dated_by_the_visit_that_saw_it_first(int days, string expected, string why)
    {
        var fact = Assert.Single(Facts(Hole(), Past("V1", days, Hole())));

        Assert.True(("derived-perforation-first-seen", expected) == (fact.Code, fact.Value.Text), why);
        Assert.Equal(("V1", 1), (fact.Sources.Single().EncounterId, fact.Sources.Single().Revision));
    }

    [Fact]
    public void Hole_seen_at_every_look_in_between_counts_from_the_first()
    {
        var fact = Assert.Single(Facts(Hole(), Past("V1", 80, Hole()), Past("V2", 40, Ear()), Past("V3", 10, Hole())));

        Assert.Equal("V1", fact.Sources.Single().EncounterId);
    }

    [Fact]
    public void Drum_that_was_closed_in_between_starts_the_count_again()
    {
        var fact = Assert.Single(Facts(Hole(), Past("V1", 80, Hole()), Past("V2", 40, Drum(Sign.Absent)), Past("V3", 10, Hole())));

        Assert.Equal("V3", fact.Sources.Single().EncounterId);
    }

    [Fact]
    public void Hole_that_was_old_when_first_seen_is_no_new_one() =>
        Assert.Empty(Facts(Hole(), Past("V1", 80, Hole() with { History = new EarHistory { PerforationKnown = Answer.Yes } })));

    [Theory]
    [InlineData(Sign.Absent)]
    [InlineData(Sign.NotSeen)]
    public void Drum_without_a_hole_today_needs_no_history(Sign today) => Assert.Empty(Facts(Drum(today), Past("V1", 80, Hole())));

    [Fact]
    public void Clinic_that_denies_a_known_hole_is_contradicted_and_stands()
    {
        var fact = Assert.Single(Facts(Hole() with { History = new EarHistory { PerforationKnown = Answer.No } }, Past("V1", 80, Hole())));

        Assert.Equal(new HistoryContradiction("ear-history-perforation-known", "no"), fact.Contradiction);
    }

    [Fact]
    public void Discharge_with_a_dry_ear_in_between_comes_back()
    {
        var fact = Assert.Single(Facts(Wet(), Past("V1", 60, Wet()), Past("V2", 30, Dry())));

        Assert.Equal(("derived-discharge-recurs", "yes"), (fact.Code, fact.Value.Text));
        Assert.Equal(["V1", "V2"], fact.Sources.Select(source => source.EncounterId));
    }

    [Theory]
    [InlineData(2026, 3, 2, true, "began the day after the visit that recorded the former episode")]
    [InlineData(2026, 3, 1, false, "began on the day of that visit: may be the same episode")]
    [InlineData(2026, 3, null, false, "in March, which may be that very day")]
    public void Discharge_that_began_after_an_earlier_one_comes_back(int year, int month, int? day, bool comesBack, string why)
    {
        var today = Wet() with { Discharge = new EarDischarge { Present = Answer.Yes, StartDate = new PartialDate(year, month, day) } };

        Assert.True(comesBack == (Facts(today, Past("V1", 30, Wet())).Count == 1), why);
    }

    [Fact]
    public void Discharge_that_was_never_gone_does_not_come_back() => Assert.Empty(Facts(Wet(), Past("V1", 30, Wet()), Past("V2", 10, Wet())));

    [Fact]
    public void Ear_that_nobody_asked_about_in_between_is_not_dry() => Assert.Empty(Facts(Wet(), Past("V1", 30, Wet()), Past("V2", 10, Ear() with { Discharge = new EarDischarge { Present = Answer.NotAsked } })));

    [Fact]
    public void Clinic_that_says_it_does_not_come_back_is_contradicted_and_stands()
    {
        var today = Wet() with { Discharge = new EarDischarge { Present = Answer.Yes, Recurs = Answer.No } };

        Assert.Equal(new HistoryContradiction("discharge-recurs", "no"), Assert.Single(Facts(today, Past("V1", 60, Wet()), Past("V2", 30, Dry()))).Contradiction);
    }

    [Fact]
    public void Clinic_that_says_so_itself_needs_no_history() =>
        Assert.Empty(Facts(Wet() with { Discharge = new EarDischarge { Present = Answer.Yes, Recurs = Answer.Yes } }, Past("V1", 60, Wet()), Past("V2", 30, Dry())));

    [Theory]
    [InlineData(90, true, "the longest course (our own proposal)")]
    [InlineData(91, false, "a day more")]
    public void Irrigation_that_failed_before_counts_with_that_of_today(int days, bool counts, string why)
    {
        var facts = Facts(Irrigated(OutcomeResult.Incomplete), Past("V1", days, Irrigated(OutcomeResult.Incomplete)));

        Assert.True((counts ? "2" : null) == facts.SingleOrDefault()?.Value.Text, why);
    }

    [Fact]
    public void Ear_that_was_cleared_in_between_ends_the_course() =>
        Assert.Empty(Facts(Irrigated(OutcomeResult.Incomplete), Past("V1", 30, Irrigated(OutcomeResult.Incomplete)), Past("V2", 20, Irrigated(OutcomeResult.Clear))));

    [Fact]
    public void Ear_that_is_clear_now_has_no_failed_course() =>
        Assert.Empty(Facts(Irrigated(OutcomeResult.Clear), Past("V1", 30, Irrigated(OutcomeResult.Incomplete))));

    [Theory]
    [InlineData(1, true, "fewer than the visits show")]
    [InlineData(2, false, "the same")]
    [InlineData(3, false, "more, as with an irrigation elsewhere")]
    public void Count_of_the_clinic_is_contradicted_only_when_it_is_too_low(int said, bool contradicted, string why)
    {
        var today = Irrigated(OutcomeResult.Incomplete) with { Outcome = new ProcedureOutcome { Result = OutcomeResult.Incomplete, IrrigationAttempts = said } };

        Assert.True(contradicted == Facts(today, Past("V1", 30, Irrigated(OutcomeResult.Incomplete))).Any(fact => fact.Contradiction is not null), why);
    }

    [Theory]
    [InlineData(3, true, "three frequencies can show a drop at three neighbours")]
    [InlineData(2, false, "two cannot, and would hide what the other ear shows")]
    public void Earlier_audiogram_is_compared_with_where_it_can_tell(int frequencies, bool compared, string why)
    {
        var facts = Facts(Heard(new PartialDate(2026, 3, 31), 1000, 2000, 4000), Past("V1", 365, Heard(new PartialDate(2025, 3, 31), [.. new[] { 1000, 2000, 4000 }.Take(frequencies)])));

        Assert.True(compared == (facts.Count == 3), why);
        Assert.All(facts, fact => Assert.Equal("derived-audiogram-threshold", fact.Code));
    }

    [Fact]
    public void Audiogram_measured_after_the_loss_began_is_no_reference()
    {
        var today = Heard(new PartialDate(2026, 3, 31), 1000, 2000, 4000) with { Hearing = new Hearing { Change = HearingChange.Sudden, OnsetDate = new PartialDate(2026, 3, 20) } };

        var facts = Facts(today, Past("V1", 365, Heard(new PartialDate(2025, 3, 31), 1000, 2000, 4000)), Past("V2", 8, Heard(new PartialDate(2026, 3, 23), 1000, 2000, 4000)));

        Assert.All(facts, fact => Assert.Equal("V1", fact.Sources.Single().EncounterId));
        Assert.Equal(3, facts.Count);
    }

    [Fact]
    public void Earlier_audiogram_of_the_clinic_stands() => Assert.Empty(Facts(
        Heard(new PartialDate(2026, 3, 31), 1000, 2000, 4000) with
        {
            Audiogram = Heard(new PartialDate(2026, 3, 31), 1000, 2000, 4000).Audiogram! with { EarlierThresholds = Heard(default, 1000).Audiogram!.Thresholds },
        },
        Past("V1", 365, Heard(new PartialDate(2025, 3, 31), 1000, 2000, 4000))));

    [Fact]
    public void Other_ear_says_nothing_about_this_one() => Assert.Empty(Facts(Hole(), Past("V1", 80, Hole() with { Side = EarSide.Left })));

    [Fact]
    public void Ear_that_is_not_examined_today_gets_no_facts()
    {
        var facts = Facts(Hole(), Past("V1", 80, Hole(), Hole() with { Side = EarSide.Left }));

        Assert.Equal(Triage.Decisions.DecisionSide.Right, Assert.Single(facts).Side);
    }

    [Fact]
    public void Visit_at_the_same_instant_or_later_is_no_history() => Assert.Empty(Facts(Hole(), Past("V1", 0, Hole()), Past("V2", -1, Hole())));

    private static IReadOnlyList<HistoryFact> Facts(EarExamination today, params EarlierVisit[] earlier) => VisitHistory.Of(Visits.Of(today), Visits.Identity, earlier);

    private static EarlierVisit Past(string id, int daysAgo, params EarExamination[] ears)
    {
        var visit = Visits.Of(ears);
        return new EarlierVisit(visit with { EncounterId = id, EvaluationInstant = visit.EvaluationInstant.AddDays(-daysAgo) }, new Guid("0f4b7a52-54d6-4f1a-8a53-6c5a4c7b9d77"));
    }

    private static EarExamination Ear() => new() { Side = EarSide.Right, Before = Unseen };

    private static EarExamination Drum(Sign perforation) => Ear() with { Before = new Otoscopy { Drum = new Drum { Visualised = DrumVisibility.Fully, Perforation = perforation } } };

    private static EarExamination Hole() => Drum(Sign.Present);

    private static EarExamination Wet() => Ear() with { Discharge = new EarDischarge { Present = Answer.Yes } };

    private static EarExamination Dry() => Ear() with { Discharge = new EarDischarge { Present = Answer.No } };

    private static EarExamination Irrigated(OutcomeResult result) => Ear() with
    {
        Steps = [new ProcedureStep { Instrument = Instrument.ElectronicIrrigation, Result = StepResult.NotRemoved }],
        Outcome = new ProcedureOutcome { Result = result },
    };

    private static EarExamination Heard(PartialDate on, params int[] frequencies) => Ear() with
    {
        Audiogram = new Audiogram { MeasuredOn = on, Thresholds = [.. frequencies.Select(hertz => new Threshold { FrequencyHz = hertz, Conduction = Conduction.Air, DecibelsHearingLevel = 10 })] },
    };
}
