namespace EarReferral.Encounters.Reading;

/// <summary>What came of reading a posted document: an encounter, or everything that is wrong with it.</summary>
/// <param name="Encounter">The encounter; null exactly when there is a problem.</param>
/// <param name="Problems">All problems in the order of the checks; empty exactly when there is an encounter.</param>
public sealed record EncounterReading(ClinicEncounter? Encounter, IReadOnlyList<EncounterProblem> Problems)
{
    internal static EncounterReading Refused(params IReadOnlyList<EncounterProblem> problems) => new(null, problems);
}
