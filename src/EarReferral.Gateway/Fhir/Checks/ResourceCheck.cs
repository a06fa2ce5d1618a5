using EarReferral.Validation;
using Hl7.Fhir.Model;
using IssueSeverity = EarReferral.Validation.IssueSeverity;

namespace EarReferral.Gateway.Fhir.Checks;

/// <summary>Judges what was received, on demand of <c>$validate</c> or of the command line.</summary>
internal static class ResourceCheck
{
    /// <summary>Everything there is to say about a received resource, the most severe first.</summary>
    /// <param name="received">What was read.</param>
    /// <param name="validator">The judge.</param>
    /// <param name="profile">Profile to judge by instead of the one that the resource claims; null for the claim.</param>
    public static ValidationReport Of(ReceivedResource received, ReferralValidator validator, string? profile = null)
    {
        if (received.Resource is not { } resource)
        {
            return new ValidationReport(received.Issues);
        }

        if (profile is not null)
        {
            resource = (Resource)resource.DeepCopy();
            resource.Meta ??= new Meta();
            resource.Meta.Profile = [profile];
        }

        // What a bundle holds is judged by the rules of the bundle's kind, and only two kinds have rules here.
        if (resource is Bundle { Type: not (Bundle.BundleType.Transaction or Bundle.BundleType.Document) })
        {
            return new ValidationReport([.. received.Issues, new ValidationIssue(IssueSeverity.Error, "not-supported", "Bundle.type", "bundle-kind", "Could not be checked: only transactions and documents are judged as bundles. Send the resources one by one.")]);
        }

        return new ValidationReport([.. received.Issues.Concat(validator.Validate(resource).Issues).Distinct().OrderByDescending(issue => issue.Severity)]);
    }

    /// <summary>What to do about an issue.</summary>
    public static string Advice(ValidationIssue issue) => issue switch
    {
        { RuleId: "unreadable" } => "Send one FHIR R4 (4.0.1) resource as well-formed JSON or XML.",
        { RuleId: "bundle-claim" } => "Name exactly one profile of docs/profiles.md in meta.profile; until then treat the resource as not valid.",
        { RuleId: "bundle-kind" or "engine-stopped" } => "Treat it as not valid until it has been checked.",
        { Severity: IssueSeverity.Information } => "Nothing has to be done.",
        { Code: "structure" } => "Correct or remove the element; R4 does not allow this form.",
        { Code: "required" } => "Add the element.",
        { Code: "not-found" } => "Send what is referred to along, or point to what is there.",
        { Code: "code-invalid" or "value" } => "Use a value that docs/profiles.md allows here.",
        { Code: "invariant" or "business-rule" } => "Change the element until the rule holds.",
        _ => "Correct the element named; if it is correct, it could not be checked and must not be treated as valid.",
    };

    /// <summary>The report as R4's <c>$validate</c> answers: each issue at one place, with what to do.</summary>
    public static OperationOutcome Outcome(ValidationReport report, string place) => new()
    {
        Issue = report.Issues.Count == 0
            ?
            [
                new OperationOutcome.IssueComponent
                {
                    Severity = OperationOutcome.IssueSeverity.Information,
                    Code = OperationOutcome.IssueType.Informational,
                    Details = new CodeableConcept { Text = "Checked; nothing is wrong. Nothing has to be done." },
                    Expression = [place],
                },
            ]
            :
            [
                .. report.Issues.Select(issue => new OperationOutcome.IssueComponent
                {
                    Severity = issue.Severity switch
                    {
                        IssueSeverity.Error => OperationOutcome.IssueSeverity.Error,
                        IssueSeverity.Warning => OperationOutcome.IssueSeverity.Warning,
                        IssueSeverity.Information => OperationOutcome.IssueSeverity.Information,
                    },
                    Code = Hl7.Fhir.Utility.EnumUtility.ParseLiteral<OperationOutcome.IssueType>(issue.Code) ?? OperationOutcome.IssueType.Processing,
                    Details = new CodeableConcept { Text = $"{issue.Text} {Advice(issue)}" },
                    Diagnostics = issue.RuleId,
                    Expression = [issue.Location],
                }),
            ],
    };
}
