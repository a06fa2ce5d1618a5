using System.Text;
using EarReferral.Encounters.Reading;
using EarReferral.Encounters.Tests.Fixtures;

namespace EarReferral.Encounters.Tests.Reading;

public sealed class EncounterReaderTests
{
    public static TheoryData<int, string, string> Cases => [.. ProblemCases.All.Select((at, index) => new TheoryDataRow<int, string, string>(index, at.Id, at.Pointer))];

    [Theory]
    [MemberData(nameof(Cases))]
    public void A_document_with_one_mistake_is_refused_with_its_id_and_place(int index, string id, string pointer)
    {
        var given = ProblemCases.All[index];

        var reading = EncounterReader.Read(given.Document, new EncounterReaderOptions { AllowTestNhsNumbers = given.TestNumbers, Vocabularies = [Vocabularies.HarbourLane, Vocabularies.HearingOnly] });

        Assert.Null(reading.Encounter);
        Assert.Contains(reading.Problems, problem => problem.Id == id && problem.Pointer == pointer);
        Assert.True(id == "document.too-many-problems" || reading.Problems.Count == 1, string.Join('\n', reading.Problems));
    }

    [Fact]
    public void Every_problem_of_the_catalogue_has_a_document_that_produces_it() =>
        Assert.Equal(
            ProblemCatalogue.All.Select(definition => definition.Id).Order(StringComparer.Ordinal),
            ProblemCases.All.Select(at => at.Id).Distinct(StringComparer.Ordinal).Order(StringComparer.Ordinal));

    [Fact]
    public void Problem_ids_are_unique_and_have_a_sentence()
    {
        Assert.Equal(ProblemCatalogue.All.Count, ProblemCatalogue.All.DistinctBy(definition => definition.Id).Count());
        Assert.All(ProblemCatalogue.All, definition => Assert.Matches(@"^[a-z0-9-]+\.[a-z0-9-]+$", definition.Id));
        Assert.All(ProblemCatalogue.All, definition => Assert.EndsWith(".", definition.Sentence, StringComparison.Ordinal));
    }

    [Fact]
    public void A_finished_visit_is_read_member_by_member()
    {
        var encounter = Accepted(Fixture.Finished);

        Assert.Equal("V-2026-0412", encounter.EncounterId);
        Assert.Equal(new DateTimeOffset(2026, 3, 12, 10, 40, 0, TimeSpan.Zero), encounter.EvaluationInstant);
        Assert.Equal(new DateOnly(1958, 9, 2), encounter.Patient.BirthDate);
        Assert.Equal(EarSide.Right, encounter.Ears[0].Side);
        Assert.Equal(new PartialDate(2026, 2), encounter.Ears[0].Hearing!.OnsetDate);
        Assert.Equal(36.8m, encounter.General!.TemperatureCelsius);
        Assert.Equal(PressureUnit.MmHg, encounter.Ears[0].Steps[0].SuctionPressure!.Unit);
        Assert.Equal(["R1"], encounter.Ears[0].Steps[0].Deposits);
    }

    [Fact]
    public void A_list_that_was_left_out_is_empty_and_an_answer_that_was_left_out_is_null()
    {
        var encounter = Accepted(Fixture.InProgress);

        Assert.Equal([], encounter.Medicines);
        Assert.Equal([], encounter.Images);
        Assert.Equal([], encounter.Ears[0].Before.Drum.Sites);
        Assert.Null(encounter.Background);
        Assert.Null(encounter.Ears[0].Hearing!.Ongoing);
    }

    [Fact]
    public void A_visit_in_progress_needs_neither_end_nor_outcome_nor_a_look_afterwards()
    {
        var encounter = Accepted(Fixture.InProgress);

        Assert.NotEmpty(encounter.Ears[0].Steps);
        Assert.Null(encounter.Period.End);
        Assert.Null(encounter.Ears[0].Outcome);
    }

    [Fact]
    public void The_day_of_the_decision_is_counted_in_the_zone_of_the_clinic()
    {
        // 23:30 UTC on 30 June is 00:30 on 1 July in London, British Summer Time.
        var reading = Read(Fixture.With(Fixture.InProgress, it =>
        {
            it["evaluationInstant"] = "2026-06-30T23:30:00Z";
            it["period"]!["start"] = "2026-06-30T23:00:00Z";
        }));

        Assert.Equal([], reading.Problems);
    }

    [Fact]
    public void Advice_after_a_completed_procedure_is_no_mistake() =>
        Assert.Equal([], Read(Fixture.FinishedWith(it => it["advice"]!["dropsAdvised"] = "Olive oil drops for one week")).Problems);

    [Fact]
    public void A_hole_seen_on_a_partly_seen_drum_is_no_mistake() =>
        Assert.Equal([], Read(Fixture.FinishedWith(it => it["ears"]![0]!["before"]!["drum"]!["perforation"] = "present")).Problems);

    [Fact]
    public void A_thin_layer_left_on_the_drum_on_purpose_is_no_mistake() =>
        Assert.Equal([], Read(Fixture.FinishedWith(it => it["ears"]![0]!["outcome"] = System.Text.Json.Nodes.JsonNode.Parse(
            """{ "result": "thinLayerLeftOnDrum", "left": [{ "material": "wax", "at": { "part": "onDrum", "quadrant": "attic" }, "onPurpose": true }] }"""))).Problems);

    [Fact]
    public void All_mistakes_of_form_are_told_at_once()
    {
        var problems = Read(Fixture.FinishedWith(it =>
        {
            it["status"] = "done";
            it["revision"] = 0;
            it["ears"]![0]!["side"] = "middle";
            it.Remove("consent");
        })).Problems;

        Assert.Equal(
            [("member.missing", "/consent"), ("value.not-in-list", "/ears/0/side"), ("value.not-in-list", "/status"), ("value.range", "/revision")],
            problems.Select(problem => (problem.Id, problem.Pointer)).Order());
    }

    [Fact]
    public void All_contradictions_are_told_at_once()
    {
        var problems = Read(Fixture.FinishedWith(it =>
        {
            it["clinicTimeZone"] = "Nowhere/Here";
            it["consent"]!["treatment"] = "no";
            it["ears"]![0]!["pain"]!["present"] = "no";
        })).Problems;

        Assert.Equal(["time.zone-unknown", "consent.treatment-missing", "pain.absent-with-details"], problems.Select(problem => problem.Id));
    }

    [Fact]
    public void No_sentence_repeats_a_posted_value()
    {
        const string Marker = "Zyxomma";
        foreach (var pointer in new[] { "encounterId", "status", "clinicTimeZone", "evaluationInstant", "revision", "patient", "ears" })
        {
            var reading = Read(Fixture.FinishedWith(it => it[pointer] = Marker + " \u0001"));

            Assert.NotEmpty(reading.Problems);
            Assert.All(reading.Problems, problem => Assert.DoesNotContain(Marker, problem.Sentence, StringComparison.OrdinalIgnoreCase));
        }
    }

    [Fact]
    public void A_whole_number_may_be_written_with_a_point_as_json_schema_says() =>
        Assert.Equal(1, Accepted(Fixture.Finished.Replace("\"revision\": 1,", "\"revision\": 1.0,", StringComparison.Ordinal)).Revision);

    [Fact]
    public void Committed_examples_are_read_or_refused_with_a_reason() =>
        Assert.All(Fixture.Examples, example =>
        {
            var reading = Read(Encoding.UTF8.GetBytes(example));
            Assert.NotEqual(reading.Encounter is null, reading.Problems.Count == 0);
        });

    private static EncounterReading Read(byte[] document) => EncounterReader.Read(document, Fixture.TestNumbers);

    private static ClinicEncounter Accepted(string document)
    {
        var reading = Read(Encoding.UTF8.GetBytes(document));
        Assert.Equal([], reading.Problems);
        return reading.Encounter!;
    }
}
