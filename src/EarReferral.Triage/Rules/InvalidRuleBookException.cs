namespace EarReferral.Triage.Rules;

/// <summary>A rule book that must not decide anything; carries every problem found, not only the first.</summary>
/// <param name="problems">What is wrong, each naming its file.</param>
public sealed class InvalidRuleBookException(IReadOnlyList<string> problems)
    : Exception("The rule book is invalid: " + string.Join("; ", problems))
{
    /// <summary>What is wrong, each naming its file.</summary>
    public IReadOnlyList<string> Problems { get; } = problems;
}
