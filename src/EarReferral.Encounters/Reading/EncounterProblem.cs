namespace EarReferral.Encounters.Reading;

/// <summary>One thing that is wrong with a posted encounter.</summary>
/// <param name="Id">Stable identifier from the problem catalogue.</param>
/// <param name="Pointer">JSON Pointer (RFC 6901) to the place in the posted document.</param>
/// <param name="Sentence">One plain sentence that says what is wrong and what would be right; never repeats a posted value.</param>
public sealed record EncounterProblem(string Id, string Pointer, string Sentence);
