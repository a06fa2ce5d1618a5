using System.Text;
using EarReferral.Encounters.Reading;
using EarReferral.Encounters.Tests.Fixtures;

namespace EarReferral.Encounters.Tests.Reading;

public sealed class ReadableFactsTests
{
    [Fact]
    public void A_red_flag_survives_a_wrong_code_elsewhere()
    {
        var facts = Salvage(Fixture.With(Fixture.InProgress, it =>
        {
            it["patient"]!["gender"] = "woman";
            it["ears"]![0]!["hearing"]!["weber"] = "here";
        }));

        Assert.Equal(HearingChange.Sudden, facts!.Ears[0].Hearing!.Change);
        Assert.Null(facts.Ears[0].Hearing!.Weber);
        Assert.Equal(AdministrativeGender.Unknown, facts.Patient.Gender);
    }

    [Fact]
    public void A_zone_that_does_not_exist_beside_a_wrong_form_does_not_hide_a_red_flag()
    {
        var facts = Salvage(Fixture.With(Fixture.InProgress, it =>
        {
            it["patient"]!["gender"] = "woman";
            it["clinicTimeZone"] = "Mr";
        }));

        Assert.Equal(HearingChange.Sudden, facts!.Ears[0].Hearing!.Change);
        Assert.Equal("Etc/UTC", facts.ClinicTimeZone);
    }

    [Fact]
    public void A_red_flag_survives_when_the_whole_identity_is_missing()
    {
        var facts = Salvage(Fixture.With(Fixture.InProgress, it =>
        {
            it.Remove("patient");
            it.Remove("practitioner");
            it.Remove("clinic");
            it.Remove("consent");
        }));

        Assert.Equal(HearingChange.Sudden, facts!.Ears[0].Hearing!.Change);
        Assert.Equal("unreadable", facts.Patient.Id);
        Assert.Equal(Answer.NotAsked, facts.Consent.Treatment);
    }

    [Fact]
    public void An_ear_keeps_its_findings_when_its_side_cannot_be_read()
    {
        var facts = Salvage(Fixture.FinishedWith(it => it["ears"]![0]!["side"] = "R"));

        Assert.Equal(2, facts!.Ears.Count);
        Assert.Equal(HearingChange.Gradual, facts.Ears[0].Hearing!.Change);
    }

    [Fact]
    public void A_second_entry_of_one_side_is_read_as_the_other_side_so_that_its_findings_are_not_lost()
    {
        var facts = Salvage(Fixture.FinishedWith(it => it["ears"]![1]!["side"] = it["ears"]![0]!["side"]!.DeepClone()));

        Assert.Equal([EarSide.Right, EarSide.Left], facts!.Ears.Select(ear => ear.Side));
        Assert.Equal(HearingChange.Gradual, facts.Ears[0].Hearing!.Change);
    }

    [Theory]
    [InlineData("right", "said twice")]
    [InlineData("both", "not readable, and both sides are spoken for")]
    public void A_third_entry_has_no_side_left_and_is_left_out(string side, string reason)
    {
        var facts = Salvage(Fixture.FinishedWith(it =>
        {
            var third = it["ears"]![0]!.DeepClone();
            third["side"] = side;
            it["ears"]!.AsArray().Insert(0, third);
            it["ears"]![0]!["hearing"]!["change"] = side == "both" ? "sudden" : "gradual";
        }));

        Assert.True(facts!.Ears.Count == 2 && facts.Ears.DistinctBy(ear => ear.Side).Count() == 2, reason);
        Assert.All(facts.Ears, ear => Assert.NotEqual(HearingChange.Sudden, ear.Hearing?.Change));
    }

    [Fact]
    public void A_denial_that_contradicts_its_details_is_dropped_and_the_details_stay()
    {
        var facts = Salvage(Fixture.FinishedWith(it => it["ears"]![0]!["hearing"]!["change"] = "none"));

        Assert.Null(facts!.Ears[0].Hearing!.Change);
        Assert.Equal(new PartialDate(2026, 2), facts.Ears[0].Hearing!.OnsetDate);
    }

    [Fact]
    public void Of_two_members_of_one_name_neither_is_believed()
    {
        var facts = Salvage(Encoding.UTF8.GetBytes(Fixture.Finished.Replace("\"diabetes\": \"no\"", "\"diabetes\": \"no\", \"diabetes\": \"yes\"", StringComparison.Ordinal)));

        Assert.Null(facts!.Background!.Diabetes);
        Assert.Equal(Answer.Yes, facts.Background.Anticoagulant);
    }

    [Fact]
    public void A_missing_look_into_the_ear_becomes_not_seen_and_never_normal()
    {
        var facts = Salvage(Fixture.FinishedWith(it => it["ears"]![0]!.AsObject().Remove("before")));

        Assert.Equal(DrumVisibility.Not, facts!.Ears[0].Before.Drum.Visualised);
        Assert.Null(facts.Ears[0].Before.Drum.Intact);
    }

    [Fact]
    public void An_unreadable_decision_instant_is_taken_from_the_visit_or_else_from_receipt()
    {
        var received = new DateTimeOffset(2026, 7, 2, 0, 0, 0, TimeSpan.Zero);
        var fromVisit = Salvage(Fixture.With(Fixture.InProgress, it => it["evaluationInstant"] = "yesterday"));
        var bare = Fixture.With(Fixture.InProgress, it => { it["evaluationInstant"] = "yesterday"; it.Remove("period"); });

        Assert.Equal(new DateTimeOffset(2026, 7, 1, 23, 0, 0, TimeSpan.FromHours(1)), fromVisit!.EvaluationInstant);
        Assert.Equal(received, ReadableFacts.From(bare, EncounterReader.Read(bare).Problems, received)!.EvaluationInstant);
        Assert.Null(Salvage(bare));
    }

    [Fact]
    public void Findings_of_the_whole_patient_are_read_when_no_ear_is()
    {
        var facts = Salvage(Fixture.FinishedWith(it => { it.Remove("ears"); it["neurology"]!["strokeSuspected"] = "yes"; }));

        Assert.Equal(Answer.Yes, facts!.Neurology!.StrokeSuspected);
        Assert.Equal([], facts.Ears);
    }

    [Theory]
    [InlineData("", "nothing")]
    [InlineData("{", "malformed")]
    [InlineData("[]", "no object")]
    [InlineData("\"text\"", "no object")]
    [InlineData("{}", "nothing clinical")]
    [InlineData("{\"patient\":{\"id\":\"a\"}}", "identity only")]
    [InlineData("{\"\\ud800\":1}", "a name that is no text")]
    public void A_document_without_readable_facts_gives_none(string document, string reason) =>
        Assert.True(Salvage(Encoding.UTF8.GetBytes(document)) is null, reason);

    private static ClinicEncounter? Salvage(byte[] document) => ReadableFacts.From(document, EncounterReader.Read(document, Fixture.TestNumbers).Problems);
}
