using Hl7.Fhir.Model;

namespace EarReferral.Validation.BundleRules;

/// <summary>Every referral has exactly one task through which its fate is told; a referral without one could be lost unnoticed.</summary>
internal static class ReferralTaskRule
{
    public static IEnumerable<ValidationIssue> Check(LinkedRecord record) =>
        from placed in record.Resources
        where placed.Resource is ServiceRequest
        let tasks = record.Resources.Count(other => other.Resource is Hl7.Fhir.Model.Task task && record.Target(task.Focus) == placed)
        where tasks != 1
        select new ValidationIssue(IssueSeverity.Error, "business-rule", placed.Place, "bundle-task", $"The referral has {tasks} tasks instead of one.");
}
