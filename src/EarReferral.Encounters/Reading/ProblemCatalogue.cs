using EarReferral.Encounters.Rules;
using EarReferral.Encounters.Vocabulary;

namespace EarReferral.Encounters.Reading;

/// <summary>Every problem that the reader can report.</summary>
public static class ProblemCatalogue
{
    /// <summary>All kinds of problems, form first, then the clinic's own codes, then the rules in the order in which they are checked.</summary>
    public static IReadOnlyList<ProblemDefinition> All { get; } = [.. FormProblems.All, .. VocabularyProblems.All, .. RuleProblems.All];
}
