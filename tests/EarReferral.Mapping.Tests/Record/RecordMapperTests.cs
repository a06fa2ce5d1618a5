using EarReferral.Encounters;
using EarReferral.Encounters.Findings;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Record;
using EarReferral.Mapping.Tests.Support;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Tests.Record;

public sealed class RecordMapperTests
{
    [Fact]
    public void Two_ears_give_two_procedures_that_share_the_encounter()
    {
        var record = Visits.Record(Visits.Of(Visits.Cleared(EarSide.Left), Visits.Cleared(EarSide.Right)));

        Assert.Equal([EarSide.Right, EarSide.Left], record.Procedures.Keys);
        Assert.All(record.Procedures.Values, procedure =>
        {
            Assert.Equal($"Encounter/{record.Encounter.Id}", procedure.Encounter!.Reference);
            Assert.Single(procedure.BodySite);
        });
    }

    [Theory]
    [InlineData(EarSide.Right, "25577004", "Right ear", "24028007", "SNOMED CT: Right ear structure, Right")]
    [InlineData(EarSide.Left, "89644007", "Left ear", "7771000", "SNOMED CT: Left ear structure, Left")]
    public void Code_words_and_extension_name_the_same_side(EarSide side, string structure, string words, string laterality, string reason)
    {
        Assert.NotEmpty(reason);
        var record = Visits.Record(Visits.Of(Visits.Cleared(side)));
        var sites = record.Procedures.Values.SelectMany(procedure => procedure.BodySite)
            .Concat(record.Observations.Select(observation => observation.BodySite).OfType<CodeableConcept>())
            .ToList();

        Assert.True(sites.Count > 10);
        Assert.All(sites, site =>
        {
            Assert.Equal(structure, Assert.Single(site.Coding).Code);
            Assert.Equal(words, site.Text);
            Assert.Equal(laterality, ((CodeableConcept)Assert.Single(site.Extension).Value!).Coding[0].Code);
        });
    }

    [Fact]
    public void Not_asked_and_not_seen_never_become_absent()
    {
        var record = Visits.Record(Visits.Of(Visits.Cleared(EarSide.Right)));

        AssertUnknown(record, "background-anticoagulant", "not-asked");
        AssertUnknown(record, "hearing-with-respiratory-infection", "not-asked");
        AssertUnknown(record, "drum-intact", "not-performed", "before");
        AssertUnknown(record, "drum-perforation", "not-performed", "before");
        Assert.Equal("2667000", Code(Find(record, "background-diabetes")));
        Assert.Equal("2667000", Code(Find(record, "drum-perforation", "after")));
        Assert.Equal("52101004", Code(Find(record, "drum-intact", "after")));
    }

    [Fact]
    public void What_the_encounter_does_not_mention_has_no_observation()
    {
        var record = Visits.Record(Visits.Of(Visits.Cleared(EarSide.Right)));

        Assert.DoesNotContain(record.Observations, observation => Has(observation, "hearing-fluctuates"));
        Assert.DoesNotContain(record.Observations, observation => Has(observation, "vertigo-present"));
    }

    [Fact]
    public void Every_observation_has_a_value_or_says_why_not_and_never_both()
    {
        var record = Visits.Record(Visits.Of(Visits.Cleared(EarSide.Right), Visits.Cleared(EarSide.Left) with
        {
            Audiogram = new Audiogram
            {
                MeasuredOn = new PartialDate(2026, 3),
                Thresholds = [new Threshold { FrequencyHz = 8000, Conduction = Conduction.Air, NoResponse = true }, new Threshold { FrequencyHz = 500, Conduction = Conduction.Bone, DecibelsHearingLevel = 35 }],
                EarlierThresholds = [new Threshold { FrequencyHz = 500, Conduction = Conduction.Air, DecibelsHearingLevel = 20 }],
            },
        }));

        Assert.All(record.Observations, observation => Assert.True(observation.Value is null != observation.DataAbsentReason is null, observation.Code!.Text));
        Assert.All(record.Observations, observation =>
        {
            Assert.NotNull(observation.Effective);
            Assert.Equal($"Patient/{record.Patient.Id}", observation.Subject!.Reference);
            Assert.Equal($"PractitionerRole/{record.Role.Id}", Assert.Single(observation.Performer).Reference);
        });
        var threshold = Assert.Single(record.Observations, observation => Has(observation, "audiogram-threshold-earlier"));
        Assert.Equal("dB", ((Quantity)threshold.Value!).Code);
        Assert.Equal("dB HL", ((Quantity)threshold.Value!).Unit);
    }

    [Fact]
    public void Thin_layer_left_on_purpose_is_completed_and_successful()
    {
        // HL7 R4 event-status: completed = done, stopped = abandoned part-way. Leaving a film on the drum is the safe end of the work.
        var ear = Visits.Cleared(EarSide.Right) with
        {
            Outcome = new ProcedureOutcome
            {
                Result = OutcomeResult.ThinLayerLeftOnDrum,
                Left = [new Residual { Material = DepositMaterial.Wax, At = Visits.OnDrum, OnPurpose = true }],
            },
        };

        var procedure = Visits.Record(Visits.Of(ear)).Procedures[EarSide.Right];

        Assert.Equal(EventStatus.Completed, procedure.Status);
        Assert.Equal(["385669000", "thin-layer-left-on-drum"], procedure.Outcome!.Coding.Select(coding => coding.Code));
        Assert.Contains(procedure.Note, note => note.Text == "Left in the ear on purpose: wax, on drum, postero inferior.");
    }

    [Theory]
    [InlineData(OutcomeResult.Clear, EventStatus.Completed, "385669000", "Successful")]
    [InlineData(OutcomeResult.Incomplete, EventStatus.Completed, "385670004", "Partially successful")]
    [InlineData(OutcomeResult.Abandoned, EventStatus.Stopped, "385670004", "something was removed before the stop")]
    [InlineData(OutcomeResult.NotStarted, EventStatus.NotDone, null, "R4 event-status: not-done has no outcome")]
    public void Outcome_decides_status_and_outcome_code(OutcomeResult result, EventStatus status, string? outcome, string reason)
    {
        Assert.NotEmpty(reason);
        var ear = Visits.Cleared(EarSide.Right) with { Outcome = new ProcedureOutcome { Result = result, StopReason = StopReason.Declined } };

        var procedure = Visits.Record(Visits.Of(ear)).Procedures[EarSide.Right];

        Assert.Equal(status, procedure.Status);
        Assert.Equal(outcome, procedure.Outcome?.Coding[0].Code);
        Assert.Equal(status is EventStatus.Stopped or EventStatus.NotDone, procedure.StatusReason is not null);
    }

    [Fact]
    public void Stop_before_anything_came_out_is_unsuccessful()
    {
        var ear = Visits.Cleared(EarSide.Right) with
        {
            Steps = [new ProcedureStep { Instrument = Instrument.Suction, Result = StepResult.NotRemoved }],
            Outcome = new ProcedureOutcome { Result = OutcomeResult.Abandoned, StopReason = StopReason.Pain },
        };

        Assert.Equal("385671000", Visits.Record(Visits.Of(ear)).Procedures[EarSide.Right].Outcome!.Coding[0].Code);
    }

    [Theory]
    [InlineData(StepResult.NotRemoved, "385671000", "nothing came out")]
    [InlineData(StepResult.Loosened, "385671000", "loosened is still in the ear")]
    [InlineData(StepResult.PartlyRemoved, "385670004", "a part came out")]
    public void Incomplete_is_partly_successful_only_when_something_came_out(StepResult result, string outcome, string reason)
    {
        Assert.NotEmpty(reason);
        var ear = Visits.Cleared(EarSide.Right) with
        {
            Steps = [new ProcedureStep { Instrument = Instrument.ElectronicIrrigation, Result = result }],
            Outcome = new ProcedureOutcome { Result = OutcomeResult.Incomplete },
        };

        Assert.Equal(outcome, Visits.Record(Visits.Of(ear)).Procedures[EarSide.Right].Outcome!.Coding[0].Code);
    }

    [Fact]
    public void Object_without_wax_is_the_aim_of_the_procedure()
    {
        var wax = Visits.Cleared(EarSide.Right) with { ForeignBody = new ForeignBody { Present = Answer.Yes, Kind = ForeignBodyKind.Battery } };
        var alone = wax with { Deposits = [], Steps = [], Outcome = new ProcedureOutcome { Result = OutcomeResult.NotStarted, StopReason = StopReason.Other } };

        Assert.Equal("10849003", Code(alone));
        Assert.Equal("385904005", Code(wax));

        static string? Code(EarExamination ear) => Visits.Record(Visits.Of(ear)).Procedures[EarSide.Right].Code!.Coding[0].Code;
    }

    [Theory]
    [InlineData("outcome-result", 25, "known when the ear was looked into again")]
    [InlineData("hearing-after", 25, "after the procedure")]
    [InlineData("complications-pain", 25, "during or after the procedure")]
    [InlineData("hearing-change", 5, "told before")]
    [InlineData("advice-leaflet-given", 40, "at the end of the visit")]
    [InlineData("background-diabetes", 0, "held when the visit began")]
    public void Finding_is_dated_when_it_held(string code, int minutes, string reason)
    {
        Assert.NotEmpty(reason);
        var observation = Find(Visits.Record(Visits.Of(Visits.Cleared(EarSide.Right))), code);

        Assert.True(((FhirDateTime)observation.Effective!).TryToDateTimeOffset(out var at));
        Assert.Equal(Visits.Start.AddMinutes(minutes), at);
    }

    [Theory]
    [InlineData(Answer.Yes, true, "it holds")]
    [InlineData(Answer.No, false, "a reader of codes alone would list diabetes")]
    [InlineData(Answer.NotAsked, false, "nobody knows")]
    public void Published_concept_of_a_finding_stands_only_where_it_holds(Answer answer, bool published, string reason)
    {
        Assert.NotEmpty(reason);
        var visit = Visits.Of(Visits.Cleared(EarSide.Right)) with { Background = new Background { Diabetes = answer } };
        var coding = Find(Visits.Record(visit), "background-diabetes").Code!.Coding;

        Assert.Equal("background-diabetes", coding[0].Code);
        Assert.Equal(published, coding.Exists(code => code.Code == "73211009"));
    }

    [Fact]
    public void Nothing_is_asked_about_the_cause_when_buds_and_hearing_aid_were_denied()
    {
        var ear = Visits.Cleared(EarSide.Right);
        ear = ear with
        {
            Deposits = [ear.Deposits[0] with { At = Visits.OnDrum }],
            History = new EarHistory { CottonBuds = Answer.No, HearingAid = Answer.No },
        };

        Assert.DoesNotContain(Visits.Record(Visits.Of(ear)).Observations, observation => Has(observation, "possible-cause"));
    }

    [Fact]
    public void Ear_that_was_only_looked_into_has_no_procedure()
    {
        var ear = Visits.Cleared(EarSide.Right) with { Steps = [], Deposits = [], Outcome = null, Complications = null };

        Assert.Empty(Visits.Record(Visits.Of(ear)).Procedures);
    }

    [Fact]
    public void Wax_on_the_drum_suggests_a_cause_provisionally_and_never_records_cotton_buds()
    {
        var ear = Visits.Cleared(EarSide.Right);
        ear = ear with { Deposits = [ear.Deposits[0] with { At = Visits.OnDrum }] };

        var record = Visits.Record(Visits.Of(ear));

        var cause = Assert.Single(record.Observations, observation => Has(observation, "possible-cause"));
        Assert.Equal(ObservationStatus.Preliminary, cause.Status);
        Assert.DoesNotContain(record.Observations, observation => Has(observation, "ear-history-cotton-buds"));
    }

    [Theory]
    [InlineData(DepositMaterial.Wax, EarPart.CanalOuterThird, "wax forms there")]
    [InlineData(DepositMaterial.Keratin, EarPart.OnDrum, "deep material that is not wax has other causes")]
    public void Nothing_is_inferred_from_other_deposits(DepositMaterial material, EarPart part, string reason)
    {
        Assert.NotEmpty(reason);
        var ear = Visits.Cleared(EarSide.Right);
        ear = ear with { Deposits = [ear.Deposits[0] with { Material = material, At = new EarLocation { Part = part } }] };

        Assert.DoesNotContain(Visits.Record(Visits.Of(ear)).Observations, observation => Has(observation, "possible-cause"));
    }

    [Fact]
    public void Nhs_number_travels_without_spaces_and_with_its_verification()
    {
        var patient = Visits.Record(Visits.Of(Visits.Cleared(EarSide.Right))).Patient;

        var number = patient.Identifier[0];
        Assert.Equal("9990000018", number.Value);
        Assert.Equal("number-present-and-verified", ((CodeableConcept)number.Extension[0].Value!).Coding[0].Code);
    }

    [Fact]
    public void Interpreter_not_asked_is_not_recorded_as_not_needed()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        visit = visit with { Reaching = visit.Reaching! with { InterpreterNeeded = Answer.NotAsked } };

        Assert.DoesNotContain(Visits.Record(visit).Patient.Extension, extension => extension.Url == Canonicals.InterpreterRequired);
    }

    [Fact]
    public void Ids_are_unique_and_the_same_each_time()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right), Visits.Cleared(EarSide.Left));
        var first = Visits.Record(visit).Resources.Select(resource => resource.Id).ToList();

        Assert.Equal(first, Visits.Record(visit).Resources.Select(resource => resource.Id));
        Assert.Equal(first.Count, first.Distinct(StringComparer.Ordinal).Count());
        Assert.All(first, id => Assert.Equal(id, Guid.Parse(id!).ToString()));
    }

    [Fact]
    public void Suction_end_and_diameter_are_in_the_used_code()
    {
        var used = Visits.Record(Visits.Of(Visits.Cleared(EarSide.Right))).Procedures[EarSide.Right].UsedCode;

        Assert.Equal(["Standard suction end, outer diameter 2 mm (0.08 in)", "Fine suction end, outer diameter 1.2 mm (0.05 in)"], used.Select(code => code.Text));
        Assert.Equal(["suction", "fine"], used[1].Coding.Select(coding => coding.Code));
    }

    [Fact]
    public void Every_finding_of_the_catalogue_that_is_stated_has_its_observation()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        var stated = FindingCatalogue.Patient.Where(row => row.Read(visit) is not null).Select(row => row.Code)
            .Concat(FindingCatalogue.Ear.Where(row => row.Read(visit.Ears[0]) is not null).Select(row => row.Code))
            .ToList();
        var record = Visits.Record(visit);

        Assert.NotEmpty(stated);
        Assert.All(stated, code => Assert.Single(record.Observations, observation => Has(observation, code)));
    }

    private static void AssertUnknown(EncounterRecord record, string finding, string reason, string? moment = null)
    {
        var observation = Find(record, finding, moment);
        Assert.Null(observation.Value);
        Assert.Equal(reason, observation.DataAbsentReason!.Coding[0].Code);
    }

    private static Observation Find(EncounterRecord record, string finding, string? moment = null) =>
        Assert.Single(record.Observations, observation => Has(observation, finding)
            && (moment is null || observation.Category.Exists(category => category.Coding.Exists(coding => coding.Code == moment))));

    private static bool Has(Observation observation, string finding) =>
        observation.Code!.Coding.Exists(coding => coding.System == CodeSystems.Finding && coding.Code == finding);

    private static string? Code(Observation observation) => (observation.Value as CodeableConcept)?.Coding[0].Code;
}
