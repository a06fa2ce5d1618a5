using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Vocabulary;

/// <summary>Problems of documents that are written in a clinic's own codes.</summary>
internal static class VocabularyProblems
{
    public static readonly ProblemDefinition Unknown = new("vocabulary.unknown", "No concept maps are configured for this clinic, code system and version.");
    public static readonly ProblemDefinition Unmapped = new("vocabulary.unmapped", "The clinic's code has no exact counterpart in the contract, and nothing else may stand at this place; it is not guessed.");

    public static readonly IReadOnlyList<ProblemDefinition> All = [Unknown, Unmapped];
}
