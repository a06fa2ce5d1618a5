namespace EarReferral.Encounters.Reading;

/// <summary>What came of reading a posted document: an encounter, or everything that is wrong with it.</summary>
/// <param name="Encounter">The encounter; null exactly when there is a problem.</param>
/// <param name="Problems">All problems in the order of the checks; empty exactly when there is an encounter.</param>
public sealed record EncounterReading(ClinicEncounter? Encounter, IReadOnlyList<EncounterProblem> Problems)
{
    /// <summary>What was read: the posted bytes, or the same with the contract's codes in place of the clinic's where that was possible.</summary>
    public ReadOnlyMemory<byte> Document { get; init; }

    internal static EncounterReading Refused(ReadOnlyMemory<byte> document, params IReadOnlyList<EncounterProblem> problems) => new(null, problems) { Document = document };
}
