namespace EarReferral.Encounters.Screening;

/// <summary>One group of a screen.</summary>
/// <param name="Group">The group.</param>
/// <param name="Text">The question as it is asked.</param>
/// <param name="OfPatient">Fills in what a "none of these" answers about the patient; what is recorded stands.</param>
/// <param name="OfEar">The same for one ear.</param>
public sealed record ScreenQuestion(
    ScreenGroup Group,
    string Text,
    Func<ClinicEncounter, ClinicEncounter> OfPatient,
    Func<EarExamination, EarExamination> OfEar);
