namespace EarReferral.Sandbox.Transactions;

/// <summary>One reason for refusing a request.</summary>
/// <param name="Status">HTTP status it calls for.</param>
/// <param name="Code">Code of FHIR's issue-type code system.</param>
/// <param name="Expression">FHIRPath of the place, rooted at the posted Bundle; null when it has none.</param>
/// <param name="Diagnostics">What is wrong, without patient data.</param>
internal sealed record Issue(int Status, string Code, string? Expression, string Diagnostics);
