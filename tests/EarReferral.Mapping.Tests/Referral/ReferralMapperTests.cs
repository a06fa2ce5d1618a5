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
    public void Rule_about_the_whole_patient_makes_a_condition_without_side()
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Left));
        var record = Visits.Record(visit);

        var referral = ReferralMapper.Map(visit, record, Decisions.Fired(visit, record, Tier.T0, side: null), Visits.Identity, Decisions.Ent)!;

        Assert.Empty(Assert.Single(referral.Conditions).BodySite);
    }

    private static (ClinicEncounter Visit, ReferralResources Referral) Map(Tier tier)
    {
        var visit = Visits.Of(Visits.Cleared(EarSide.Right));
        var record = Visits.Record(visit);
        return (visit, ReferralMapper.Map(visit, record, Decisions.Fired(visit, record, tier), Visits.Identity, Decisions.Ent)!);
    }
}
