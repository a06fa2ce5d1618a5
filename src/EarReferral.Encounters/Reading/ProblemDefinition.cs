namespace EarReferral.Encounters.Reading;

/// <summary>One kind of problem: its stable id and the sentence that says what would be right.</summary>
/// <param name="Id">Stable id, <c>theme.problem</c>; never changes its meaning and is never reused.</param>
/// <param name="Sentence">Plain sentence for the person who builds or uses the clinic's software; holds no posted value.</param>
public sealed record ProblemDefinition(string Id, string Sentence)
{
    /// <summary>A problem of this kind at a place of the document.</summary>
    /// <param name="pointer">JSON Pointer (RFC 6901).</param>
    internal EncounterProblem At(string pointer) => new(Id, pointer, Sentence);

    /// <summary>A problem of this kind with what the schema asks for at that place.</summary>
    /// <param name="pointer">JSON Pointer (RFC 6901).</param>
    /// <param name="expected">A further sentence made of the schema's words, never of posted ones.</param>
    internal EncounterProblem At(string pointer, string expected) => new(Id, pointer, $"{Sentence} {expected}");
}
