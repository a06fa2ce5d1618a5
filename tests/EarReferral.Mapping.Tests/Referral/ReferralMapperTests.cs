using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Referral;
using EarReferral.Mapping.Tests.Support;
using EarReferral.Triage.Decisions;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Tests.Referral;

public sealed class ReferralMapperTests
{
    [Fact]
    public void No_rule_fired_means_no_referral()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        var record = Visits.Record(visit);

        Assert.Null(ReferralMapper.Map(visit, record, Decisions.None(visit), Visits.Identity, Decisions.Ent));
    }

    [Fact]
    public void Film_dry_skin_or_missing_light_reflex_alone_create_no_condition()
    {
        var ear = Visits.Cleared(EarSide.Right);
        ear = ear with
        {
            After = ear.After! with
            {
                Canal = ear.After.Canal! with { DrySkin = Sign.Present },
                Drum = ear.After.Drum with { LightReflex = Sign.Absent },
            },
            Outcome = new ProcedureOutcome
            {
                Result = OutcomeResult.ThinLayerLeftOnDrum,
                Left = [new Residual { Material = DepositMaterial.Wax, At = Visits.OnDrum, OnPurpose = true }],
            },
        };

        Assert.DoesNotContain(Visits.Record(Visits.Of(ear)).Resources, resource => resource is Condition);
    }

    [Fact]
    public void Deadline_travels_as_data_and_as_text()
    {
        var (visit, referral) = Map(Tier.T1);
        var due = visit.EvaluationInstant.AddHours(24);

        Assert.Equal("2026-04-01T10:00:00+01:00", ((Period)referral.Request.Occurrence!).End);
        Assert.Equal("2026-04-01T10:00:00+01:00", referral.Task.Restriction!.Period!.End);
        Assert.Equal("Deadline: 2026-04-01 10:00 (UTC+01:00)", referral.Task.Note[0].Text);
        Assert.Contains(referral.Request.Note, note => note.Text == "Deadline: 2026-04-01 10:00 (UTC+01:00).");
        Assert.Contains("by 10.00 am on Wednesday 1 April", referral.Request.PatientInstruction, StringComparison.Ordinal);
        Assert.Equal(new DateTimeOffset(2026, 4, 1, 10, 0, 0, TimeSpan.FromHours(1)), due);
    }

    [Fact]
    public void Reason_carries_rule_sentence_source_and_evidence()
    {
        var (_, referral) = Map(Tier.T1);

        var condition = Assert.Single(referral.Conditions);
        Assert.Equal("provisional", condition.VerificationStatus!.Coding[0].Code);
        Assert.StartsWith("Observation/", Assert.Single(Assert.Single(condition.Evidence).Detail).Reference, StringComparison.Ordinal);
        Assert.Equal("25577004", Assert.Single(condition.BodySite).Coding[0].Code);
        Assert.Contains(referral.Request.Note, note => note.Text!.Contains("NICE NG98 1.1.2", StringComparison.Ordinal));
        Assert.Equal([$"Condition/{condition.Id}", condition.Evidence[0].Detail[0].Reference], referral.Request.ReasonReference.Select(reference => reference.Reference));
        Assert.Equal(["https://ear-referral.example/fhir/PlanDefinition/r-hl-01|1.0.0"], referral.Request.InstantiatesCanonical);
    }

    [Fact]
    public void Suspected_cancer_has_its_own_category_and_reason_of_priority()
    {
        var (_, referral) = Map(Tier.T2C);

        Assert.Contains(referral.Request.Category, category => category.Coding[0].Code == "suspected-cancer");
        Assert.Contains(referral.Request.PriorityElement!.Extension, extension => extension.Url == Canonicals.PriorityReason);
        Assert.DoesNotContain(Map(Tier.T2).Referral.Request.Category, category => category.Coding[0].Code == "suspected-cancer");
    }

    [Fact]
    public void Telephone_is_never_proposed_to_somebody_who_cannot_hear_on_one()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        visit = visit with
        {
            Reaching = new ReachingPatient
            {
                Telephone = "01632 960233",
                Preferred = ContactPreference.Telephone,
                HearsOnTelephone = Answer.No,
                Language = "bfi",
                InterpreterNeeded = Answer.Yes,
                Carer = "daughter Jowan",
            },
        };
        var record = Visits.Record(visit);

        var referral = ReferralMapper.Map(visit, record, Decisions.Fired(visit, record, Tier.T1), Visits.Identity, Decisions.Ent)!;

        Assert.Contains(referral.Request.Note, note => note.Text == "Do not telephone: the patient cannot use a telephone. Contact through the carer or helper.");
        Assert.DoesNotContain(referral.Request.Note, note => note.Text!.StartsWith("Preferred contact: telephone", StringComparison.Ordinal));
        Assert.DoesNotContain("01632", referral.Request.PatientInstruction, StringComparison.Ordinal);
        Assert.DoesNotContain(record.Patient.Telecom, contact => contact.System is ContactPoint.ContactPointSystem.Phone);
    }

    [Fact]
    public void Rule_about_the_whole_patient_names_no_ear()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Left));
        var record = Visits.Record(visit);

        var referral = ReferralMapper.Map(visit, record, Decisions.Fired(visit, record, Tier.T0, side: null), Visits.Identity, Decisions.Ent)!;

        Assert.Empty(Assert.Single(referral.Conditions).BodySite);
        Assert.Empty(referral.Request.BodySite);
    }

    [Fact]
    public void One_condition_per_ear_for_the_most_urgent_rules_only()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right), Visits.Cleared(EarSide.Left));
        FiredRule[] fired =
        [
            Decisions.Rule(visit, "R-IN-06", Tier.T2, "ent", DecisionSide.Right),
            Decisions.Rule(visit, "R-HL-02", Tier.T2, "ent", DecisionSide.Right),
            Decisions.Rule(visit, "R-HL-08", Tier.T3, "ent", DecisionSide.Left),
        ];

        var referral = ReferralMapper.Map(visit, Visits.Record(visit), Decisions.Of(visit, fired), Visits.Identity, Decisions.Ent)!;

        var condition = Assert.Single(referral.Conditions);
        Assert.Equal(["300197009", "R-IN-06", "R-HL-02"], condition.Code!.Coding.Select(coding => coding.Code));
        Assert.Equal(["Right ear"], referral.Request.BodySite.Select(site => site.Text));
        Assert.Equal(3, referral.Request.ReasonCode.Count);
    }

    [Theory]
    [InlineData("emergency", Tier.T0, "First by phone: 999 / emergency department.", true, "the source says emergency")]
    [InlineData("crisis-team", Tier.T0, "First by phone: mental health crisis team", true, "the source says crisis team")]
    [InlineData("gp", Tier.T2C, "GP: please make a suspected-cancer referral today; this clinic has not made one.", true, "NICE NG12 speaks to the GP")]
    [InlineData("audiology", Tier.T3, "The clinic: please refer to audiology", true, "nothing is sent to audiology")]
    [InlineData("ent", Tier.T2, "ENT: please see the patient", false, "ENT is the receiver")]
    public void Each_reason_says_where_its_source_sends_the_case(string destination, Tier tier, string action, bool copy, string reason)
    {
        Assert.NotEmpty(reason);
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        FiredRule[] fired = [Decisions.Rule(visit, "R-XX-01", tier, destination, DecisionSide.Right)];

        var notes = ReferralMapper.Map(visit, Visits.Record(visit), Decisions.Of(visit, fired), Visits.Identity, Decisions.Ent)!.Request.Note;

        Assert.Contains(notes, note => note.Text!.StartsWith("Reason (R-XX-01)", StringComparison.Ordinal) && note.Text.Contains(action, StringComparison.Ordinal));
        Assert.Equal(copy, notes.Exists(note => note.Text!.StartsWith("This copy to Westerquay General, ENT department is for information", StringComparison.Ordinal)));
    }

    [Fact]
    public void Objection_to_sharing_stands_on_the_first_lines_of_the_letter()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        visit = visit with { Consent = visit.Consent with { SharingWithEnt = Answer.No, SharingWithGp = Answer.No } };
        var record = Visits.Record(visit);

        var notes = ReferralMapper.Map(visit, record, Decisions.Fired(visit, record, Tier.T1), Visits.Identity, Decisions.Ent)!.Request.Note;

        Assert.Equal(["The patient objects to sharing with ENT.", "The patient objects to sharing with the GP practice."], notes.Take(2).Select(note => note.Text));
    }

    private static (ClinicEncounter Visit, ReferralResources Referral) Map(Tier tier)
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        var record = Visits.Record(visit);
        return (visit, ReferralMapper.Map(visit, record, Decisions.Fired(visit, record, tier), Visits.Identity, Decisions.Ent)!);
    }
}
