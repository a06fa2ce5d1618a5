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
