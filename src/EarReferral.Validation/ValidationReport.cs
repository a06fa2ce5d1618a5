namespace EarReferral.Validation;

/// <summary>Everything the validator has to say about what it was given, in document order.</summary>
/// <param name="Issues">All issues; empty when there is nothing to say.</param>
public sealed record ValidationReport(IReadOnlyList<ValidationIssue> Issues)
{
    /// <summary>True when no issue is an error. What could not be checked is an error, so it is never valid.</summary>
    public bool IsValid => Issues.All(issue => issue.Severity != IssueSeverity.Error);
}
