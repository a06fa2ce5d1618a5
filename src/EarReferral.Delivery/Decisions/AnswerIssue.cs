namespace EarReferral.Delivery.Decisions;

/// <summary>One <c>OperationOutcome.issue</c>. The text may name a patient, so it is stored and shown, never logged.</summary>
/// <param name="Severity">fatal, error, warning or information.</param>
/// <param name="Code">Code of http://hl7.org/fhir/issue-type.</param>
/// <param name="Text">Details or diagnostics.</param>
/// <param name="Expression">Where in the bundle.</param>
internal sealed record AnswerIssue(string Severity, string Code, string? Text, string? Expression);
