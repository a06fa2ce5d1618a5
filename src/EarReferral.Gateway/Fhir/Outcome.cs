using Hl7.Fhir.Model;

namespace EarReferral.Gateway.Fhir;

/// <summary>Makes the OperationOutcome that every FHIR error answers with.</summary>
internal static class Outcome
{
    /// <summary>An outcome with one error.</summary>
    /// <param name="code">Issue type that decides whether trying again helps.</param>
    /// <param name="sentence">What is wrong and what would be right; never patient data.</param>
    /// <param name="expression">FHIRPath or parameter that it concerns.</param>
    public static OperationOutcome Error(OperationOutcome.IssueType code, string sentence, string? expression = null) => new()
    {
        Issue =
        [
            new OperationOutcome.IssueComponent
            {
                Severity = OperationOutcome.IssueSeverity.Error,
                Code = code,
                Diagnostics = sentence,
                Expression = expression is null ? [] : [expression],
            },
        ],
    };

    /// <summary>The issue type that goes with an HTTP status set by the framework.</summary>
    public static (OperationOutcome.IssueType Code, string Sentence) ForStatus(int status) => status switch
    {
        400 => (OperationOutcome.IssueType.Invalid, "The request could not be read."),
        401 => (OperationOutcome.IssueType.Login, "Sign in first."),
        403 => (OperationOutcome.IssueType.Forbidden, "This caller may not do that."),
        404 => (OperationOutcome.IssueType.NotFound, "Nothing is served at this address."),
        405 => (OperationOutcome.IssueType.NotSupported, "This method is not supported here."),
        406 => (OperationOutcome.IssueType.NotSupported, "Answers are written as application/fhir+json or application/fhir+xml."),
        413 => (OperationOutcome.IssueType.TooLong, "The body is too large."),
        415 => (OperationOutcome.IssueType.NotSupported, "Send application/fhir+json or application/fhir+xml, or a form for _search."),
        429 => (OperationOutcome.IssueType.Throttled, "Too many requests; wait and try again."),
        503 => (OperationOutcome.IssueType.Transient, "Not ready yet; try again soon."),
        _ => (OperationOutcome.IssueType.Exception, "The request failed."),
    };
}
