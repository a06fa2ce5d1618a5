using System.Xml.Linq;
using EarReferral.Encounters;
using EarReferral.Mapping.Referral;
using EarReferral.Mapping.Summary;
using EarReferral.Mapping.Tests.Support;
using EarReferral.Triage.Decisions;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Tests.Summary;

public sealed class SummaryMapperTests
{
    [Fact]
    public void First_lines_say_action_urgency_deadline_and_reason()
    {
        var lines = Lines(Map(Tier.T1).Section[0]);

        Assert.StartsWith("Action for GP needed: no.", lines[0], StringComparison.Ordinal);
        Assert.Equal("Action for the clinic: First by phone: ENT clinician on call; then this referral.", lines[1]);
        Assert.Equal("Urgency: Immediate, to be seen within 24 hours", lines[2]);
        Assert.StartsWith("Deadline: 2026-04-01 10:00", lines[3], StringComparison.Ordinal);
        Assert.StartsWith("Reason: Right ear: Hearing was lost suddenly", lines[4], StringComparison.Ordinal);
    }

    [Fact]
    public void Open_questions_and_what_was_not_asked_are_listed_as_such()
    {
        var lines = Lines(Map(Tier.T1).Section[^1]);

        Assert.Contains("Open question (R-HL-04, right ear): Does the hearing come and go?", lines);
        Assert.Contains("Anticoagulant treatment: not asked", lines);
        Assert.Contains("Right ear, Eardrum intact: not seen", lines);
    }

    [Fact]
    public void Safety_net_names_the_day_and_whom_to_contact()
    {
        var line = Assert.Single(Lines(Map(Tier.T2).Section[^2]), line => line.StartsWith("To tell the patient:", StringComparison.Ordinal));

        Assert.Contains("If you have heard nothing after 2 working days, call Harbour Lane Ear Care on 01632 960417.", line, StringComparison.Ordinal);
    }

    [Fact]
    public void Prepared_is_not_reported_as_arrived()
    {
        Assert.Contains(Lines(Map(Tier.T1).Section[0]), line => line.EndsWith("this summary does not say that it has arrived.", StringComparison.Ordinal));
    }

    [Fact]
    public void Unknowns_are_not_among_what_was_found()
    {
        var ear = Map(Tier.T1).Section.Single(section => section.Title == "Right ear");

        Assert.DoesNotContain(Lines(ear), line => line.Contains("not asked", StringComparison.OrdinalIgnoreCase));
    }

    [Fact]
    public void Visit_without_referral_has_a_summary_too()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        var record = Visits.Record(visit);

        var summary = SummaryMapper.Map(visit, record, Decisions.None(visit), null, Visits.Identity);
        var document = DocumentBundle.Build(record, null, summary);

        Assert.Same(typeof(Composition), document.Entry[0].Resource!.GetType());
        Assert.NotNull(document.Identifier);
        Assert.NotNull(document.Timestamp);
        Assert.Empty(R4Schema.Problems(document));
    }

    [Theory]
    [InlineData(Tier.T0, "treat as an emergency, today within 4 hours, until answered")]
    [InlineData(Tier.T1, "treat as immediate, within 24 hours, until answered")]
    public void Open_emergency_question_comes_first_and_nothing_calls_the_visit_settled(Tier tier, string limit)
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        var summary = Summary(visit, Decisions.Of(visit, [], new OpenQuestion("R-HL-01", tier, DecisionSide.Left, "When did the hearing change begin?", ["hearing-onset-date"])));

        var lines = Lines(summary.Section[0]);
        Assert.Equal($"NOT SETTLED: hearing loss that needs treatment at once, left ear, not excluded (R-HL-01); {limit}", lines[0]);
        Assert.Equal("The clinic must reach the patient today and ask: When did the hearing change begin?", lines[1]);
        Assert.Equal(CompositionStatus.Preliminary, summary.Status);
        Assert.All(
            ["No referral", "Deadline: none", "needed: no", "no red-flag rule fired", "waits for no answer"],
            words => Assert.DoesNotContain(summary.Section.SelectMany(Lines), line => line.Contains(words, StringComparison.Ordinal)));
    }

    [Fact]
    public void Open_question_of_a_lower_tier_leaves_the_summary_final()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));

        Assert.Equal(CompositionStatus.Final, Summary(visit, Decisions.Of(visit, [], new OpenQuestion("R-CX-08", Tier.T3, DecisionSide.Right, "Is there a hole?", []))).Status);
    }

    [Fact]
    public void Suspected_cancer_is_an_action_for_the_practice_on_the_first_line()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        var lines = Lines(Summary(visit, Decisions.Of(visit, [Decisions.Rule(visit, "R-CA-04", Tier.T2C, "gp", DecisionSide.Right)])).Section[0]);

        Assert.Equal("Action for GP needed: yes. GP: please make a suspected-cancer referral today; this clinic has not made one.", lines[0]);
        Assert.DoesNotContain(lines.Skip(1), line => line.Contains("please make", StringComparison.Ordinal));
    }

    [Fact]
    public void Without_a_practice_its_action_falls_to_the_clinic()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        visit = visit with { Patient = visit.Patient with { GpPractice = null, GpPracticeAbsentReason = GpPracticeAbsentReason.NotRegistered } };

        var lines = Lines(Summary(visit, Decisions.Of(visit, [Decisions.Rule(visit, "R-CA-04", Tier.T2C, "gp", DecisionSide.Right)])).Section[0]);

        Assert.Contains(lines, line => line.StartsWith("Other action: The clinic: no GP practice is recorded", StringComparison.Ordinal));
    }

    [Fact]
    public void Objection_to_sharing_is_the_first_line()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        visit = visit with { Consent = visit.Consent with { SharingWithGp = Answer.No } };

        Assert.Equal("The patient objects to sharing with the GP practice.", Lines(Summary(visit, Decisions.None(visit)).Section[0])[0]);
    }

    [Fact]
    public void Method_notes_are_no_reason()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        var summary = Summary(visit, Decisions.Of(visit, [Decisions.Rule(visit, "R-WX-03", Tier.T4, "none", DecisionSide.Right)]));

        Assert.DoesNotContain(Lines(summary.Section[0]), line => line.Contains("R-WX-03", StringComparison.Ordinal));
        Assert.Contains("Right ear: Reason of R-WX-03.", Lines(Assert.Single(summary.Section, section => section.Title == "Notes on method")));
    }

    [Fact]
    public void Consent_to_a_procedure_is_not_told_where_none_was_done()
    {
        var looked = Visits.Of(Visits.Cleared(EarSide.Right) with { Steps = [], Deposits = [], Outcome = null });
        var done = Visits.Of(Visits.Cleared(EarSide.Right));

        Assert.DoesNotContain(Agreed(looked), line => line.StartsWith("Agreed", StringComparison.Ordinal));
        Assert.Contains("Agreed to the procedure: yes", Agreed(done));

        static List<string> Agreed(ClinicEncounter visit) => Lines(Assert.Single(Summary(visit, Decisions.None(visit)).Section, section => section.Title == "The patient"));
    }

    [Fact]
    public void Narrative_reads_as_people_speak()
    {
        var ear = Visits.Cleared(EarSide.Right) with { SoftenerBefore = new SoftenerUse { Used = Answer.Yes, TimesADay = 2, Days = 5 } };
        ear = ear with { Before = ear.Before with { Canal = ear.Before.Canal! with { LesionScore = 5 } } };
        var visit = Visits.Of(ear);
        var lines = Lines(Assert.Single(Summary(visit, Decisions.None(visit)).Section, section => section.Title == "Right ear"));

        Assert.Contains("Eardrum intact: yes", lines);
        Assert.Contains("Softener before visit: times a day: twice a day", lines);
        Assert.Contains("Weighted seven-point score of a pigmented lesion: 5", lines);
        Assert.Contains("Asked and denied: ear pain, complication: bleeding.", lines);
        Assert.DoesNotContain(lines, line => line.Contains("(d1)", StringComparison.Ordinal));
    }

    [Fact]
    public void Wax_pushed_in_is_a_question_and_no_finding()
    {
        var ear = Visits.Cleared(EarSide.Right);
        var visit = Visits.Of(ear with { Deposits = [ear.Deposits[0] with { At = Visits.OnDrum }] });
        var summary = Summary(visit, Decisions.None(visit));

        Assert.DoesNotContain(summary.Section.Where(section => section.Title == "Right ear").SelectMany(Lines), line => line.Contains("Possible cause", StringComparison.Ordinal));
        Assert.Contains(Lines(summary.Section[^1]), line => line.StartsWith("To ask (right ear): what may have moved the wax inward", StringComparison.Ordinal));
    }

    [Fact]
    public void Stored_summary_that_reaches_what_a_receiver_keeps_is_still_a_document()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        var record = Visits.Record(visit);
        var decision = Decisions.Fired(visit, record, Tier.T1);
        var referral = ReferralMapper.Map(visit, record, decision, Visits.Identity, Decisions.Ent)!;
        var summary = SummaryMapper.Map(visit, record, decision, referral, Visits.Identity);
        const string theirs = "Appointment/ent-4711";
        referral.Task.Output.Add(new Hl7.Fhir.Model.Task.OutputComponent { Type = new CodeableConcept { Text = "Appointment" }, Value = new ResourceReference(theirs) });

        var document = DocumentBundle.Build(summary, [.. record.Resources, .. referral.Resources]);

        var task = document.Entry.Select(entry => entry.Resource).OfType<Hl7.Fhir.Model.Task>().Single();
        Assert.Equal(theirs, ((ResourceReference)task.Output[0].Value!).Reference);
        Assert.StartsWith("urn:uuid:", task.Focus!.Reference, StringComparison.Ordinal);
        Assert.Throws<InvalidOperationException>(() => DocumentBundle.Build(record, referral, summary));
    }

    private static Composition Summary(ClinicEncounter visit, TriageDecision decision)
    {
        var record = Visits.Record(visit);
        return SummaryMapper.Map(visit, record, decision, ReferralMapper.Map(visit, record, decision, Visits.Identity, Decisions.Ent), Visits.Identity);
    }

    private static Composition Map(Tier tier)
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        var record = Visits.Record(visit);
        var decision = Decisions.Fired(visit, record, tier);
        return SummaryMapper.Map(visit, record, decision, ReferralMapper.Map(visit, record, decision, Visits.Identity, Decisions.Ent), Visits.Identity);
    }

    private static List<string> Lines(Composition.SectionComponent section) =>
        [.. XElement.Parse(section.Text!.Div!).Descendants(XName.Get("li", "http://www.w3.org/1999/xhtml")).Select(item => item.Value)];
}
