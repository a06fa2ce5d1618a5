namespace EarReferral.Validation;

/// <summary>One thing the validator has to say about a resource or bundle.</summary>
/// <param name="Severity">Whether it stops the resource; only <see cref="IssueSeverity.Error"/> does.</param>
/// <param name="Code">Code of FHIR R4 <c>issue-type</c>, such as <c>invariant</c> or <c>not-found</c>.</param>
/// <param name="Location">FHIRPath to one node, rooted at what was handed over, such as <c>Bundle.entry[3].resource.bodySite</c>.</param>
/// <param name="RuleId">Key of the invariant (<c>obs-6</c>, <c>ear-prc-1</c>), id of a bundle rule (<c>bundle-link</c>), or <c>engine-</c> and the number the validation engine gives the defect.</param>
/// <param name="Text">One sentence for an integrator. Engine sentences may quote the offending value: never log it.</param>
public sealed record ValidationIssue(IssueSeverity Severity, string Code, string Location, string RuleId, string Text);

/// <summary>Severities of issues; there is no fatal one, since everything that could not be checked is an error.</summary>
public enum IssueSeverity
{
    /// <summary>Worth knowing; includes bindings that nobody can expand without a terminology server.</summary>
    Information,

    /// <summary>Allowed but questionable.</summary>
    Warning,

    /// <summary>Not valid, or could not be checked.</summary>
    Error,
}
