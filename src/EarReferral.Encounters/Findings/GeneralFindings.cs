namespace EarReferral.Encounters.Findings;

/// <summary>General condition on the day.</summary>
internal static class GeneralFindings
{
    private static readonly FindingBlock<ClinicEncounter, GeneralState> GeneralState = new("general", encounter => encounter.General);

    public static readonly IReadOnlyList<Finding<ClinicEncounter>> Rows =
    [
        GeneralState.Answer("systemically-unwell", "Systemically unwell", it => it.SystemicallyUnwell),
        GeneralState.Quantity("temperature", "Body temperature", "Cel", it => it.TemperatureCelsius),
        GeneralState.Sign("sepsis-signs", "Signs of sepsis", it => it.SepsisSigns),
        GeneralState.Sign("meningism-signs", "Signs of meningism", it => it.MeningismSigns),
        GeneralState.Answer("severe-headache", "Severe headache", it => it.SevereHeadache),
        GeneralState.Answer("retro-orbital-pain", "Deep pain behind the eye", it => it.RetroOrbitalPain),
    ];
}
