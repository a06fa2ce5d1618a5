namespace EarReferral.Encounters.Screening;

/// <summary>An encounter and an ear about which nothing is recorded, to see what a screen fills in.</summary>
internal static class Blank
{
    public static EarExamination Ear { get; } = new() { Side = EarSide.Right, Before = new Otoscopy { Drum = new Drum { Visualised = DrumVisibility.Not } } };

    public static ClinicEncounter Encounter { get; } = new()
    {
        ContractVersion = "1.0",
        EncounterId = "blank",
        Revision = 1,
        Status = EncounterStatus.InProgress,
        EvaluationInstant = DateTimeOffset.UnixEpoch,
        ClinicTimeZone = "Etc/UTC",
        Clinic = new Clinic { Id = "blank", Name = "blank" },
        Practitioner = new ClinicPractitioner { Id = "blank", Name = new PersonName { Family = "blank" }, Role = PractitionerRole.Other },
        Period = new EncounterPeriod { Start = DateTimeOffset.UnixEpoch },
        Patient = new ClinicPatient { Id = "blank", Name = new PersonName { Family = "blank" }, BirthDate = DateOnly.MinValue, Gender = AdministrativeGender.Unknown },
        Consent = new ConsentRecord { Treatment = Answer.NotAsked },
        Ears = [],
    };
}
