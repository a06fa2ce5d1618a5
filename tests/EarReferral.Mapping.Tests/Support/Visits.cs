using EarReferral.Encounters;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Record;

namespace EarReferral.Mapping.Tests.Support;

/// <summary>Invented visits; nobody in them exists and the NHS number is of the 999 range that is reserved for tests.</summary>
internal static class Visits
{
    public static readonly DateTimeOffset Start = new(2026, 3, 31, 9, 30, 0, TimeSpan.FromHours(1));

    public static EncounterIdentity Identity { get; } = new(
        new Guid("0f4b7a52-54d6-4f1a-8a53-6c5a4c7b9d01"),
        new Guid("4a1d3c1e-7f0a-4ac0-b9a5-7a6a9b2f5e02"),
        new Guid("8c9e2f47-21b5-4f4e-a6ee-1b8c3d0f6a03"),
        new Guid("b7d5e6a8-9c31-4d7b-8f22-0e4f1a2b3c04"));

    public static EarLocation OuterThird { get; } = new() { Part = EarPart.CanalOuterThird, Wall = CanalWall.AllRound };

    public static EarLocation OnDrum { get; } = new() { Part = EarPart.OnDrum, Quadrant = DrumQuadrant.PosteroInferior };

    public static ClinicEncounter Of(params EarExamination[] ears) => new()
    {
        ContractVersion = "1.0",
        EncounterId = "HLE-2026-0317",
        Revision = 1,
        Status = EncounterStatus.Finished,
        EvaluationInstant = new DateTimeOffset(2026, 3, 31, 10, 0, 0, TimeSpan.FromHours(1)),
        ClinicTimeZone = "Europe/London",
        Clinic = new Clinic { Id = "harbour-lane", Name = "Harbour Lane Ear Care", OdsCode = "HLE01", Telephone = "01632 960417" },
        Practitioner = new ClinicPractitioner
        {
            Id = "P-7",
            Name = new PersonName { Family = "Okafor", Given = ["Ruth"] },
            Role = PractitionerRole.RegisteredNurse,
            Registration = new Registration { Body = RegistrationBody.Nmc, Number = "DEMO0007" },
        },
        Period = new EncounterPeriod { Start = Start, End = Start.AddMinutes(40) },
        Patient = new ClinicPatient
        {
            Id = "H-1042",
            NhsNumber = new NhsNumber { Value = "999 000 0018", Verification = NhsNumberVerification.NumberPresentAndVerified },
            Name = new PersonName { Family = "Penhallow", Given = ["Edith", "Mary"], Prefix = "Mrs" },
            BirthDate = new DateOnly(1951, 6, 2),
            Gender = AdministrativeGender.Female,
            Address = new PostalAddress { Lines = ["4 Net Loft Row"], Town = "Westerquay", PostalCode = "ZZ99 3VZ" },
            GpPractice = new GpPractice { OdsCode = "MRS42", Name = "Millrace Surgery" },
        },
        Reaching = new ReachingPatient
        {
            Telephone = "01632 960233",
            Preferred = ContactPreference.Telephone,
            HearsOnTelephone = Answer.Yes,
            Language = "en",
            InterpreterNeeded = Answer.No,
        },
        Consent = new ConsentRecord { Treatment = Answer.Yes, SharingWithGp = Answer.Yes, SharingWithEnt = Answer.Yes },
        Background = new Background { Anticoagulant = Answer.NotAsked, Diabetes = Answer.No },
        Advice = new Advice { NothingInEar = Answer.Yes, LeafletGiven = Answer.No, WhenToSeekHelp = Answer.Yes },
        FollowUp = new FollowUp { Kind = FollowUpKind.AsNeeded },
        Ears = ears,
    };

    /// <summary>Soft wax in the outer third, removed by suction, drum seen and intact afterwards.</summary>
    public static EarExamination Cleared(EarSide side) => new()
    {
        Side = side,
        Hearing = new Hearing { Change = HearingChange.Gradual, OnsetDate = new PartialDate(2026, 2), WithRespiratoryInfection = Answer.NotAsked, After = HearingAfter.Better },
        Pain = new EarPain { Present = Answer.No },
        Before = new Otoscopy
        {
            At = Start.AddMinutes(5),
            View = ViewInstrument.Microscope,
            Canal = new Canal { Patency = Patency.FullyBlocked, Blood = Sign.Absent },
            Drum = new Drum { Visualised = DrumVisibility.Not, Intact = Sign.NotSeen, Perforation = Sign.NotSeen },
        },
        Deposits =
        [
            new Deposit
            {
                Id = "d1", Material = DepositMaterial.Wax, Firmness = Firmness.Soft, Moisture = Moisture.Moist, Colour = DepositColour.DarkBrown,
                Occlusion = Occlusion.Complete, LengthMm = 12.7m, DepthMm = 8m, SkinWithIt = Sign.NotSeen, At = OuterThird,
            },
        ],
        Steps =
        [
            new ProcedureStep
            {
                Instrument = Instrument.Suction, SuctionEnd = SuctionEnd.Standard, SuctionOuterDiameterMm = 2.0m,
                SuctionPressure = new Pressure { Value = 120, Unit = PressureUnit.MmHg }, Deposits = ["d1"], Attempts = 2, Result = StepResult.PartlyRemoved,
            },
            new ProcedureStep
            {
                Instrument = Instrument.Suction, SuctionEnd = SuctionEnd.Fine, SuctionOuterDiameterMm = 1.2m, Deposits = ["d1"],
                ChangeReason = ChangeReason.NearDrum, Result = StepResult.Removed,
            },
        ],
        After = new Otoscopy
        {
            At = Start.AddMinutes(25),
            Canal = new Canal { Patency = Patency.Clear, DrySkin = Sign.Absent },
            Drum = new Drum { Visualised = DrumVisibility.Fully, Intact = Sign.Present, Perforation = Sign.Absent, LightReflex = Sign.Present },
        },
        Outcome = new ProcedureOutcome { Result = OutcomeResult.Clear },
        Complications = new EarComplications { Bleeding = Bleeding.None, Pain = Severity.Mild },
    };

    public static EncounterRecord Record(ClinicEncounter encounter) => RecordMapper.Map(encounter, Identity, MappingContext.BritishEnglish);
}
