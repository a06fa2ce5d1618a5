using Hl7.Fhir.Model;

namespace EarReferral.Validation.BundleRules;

/// <summary>One bundle, one patient: a mixed-up record is the worst thing that can be sent.</summary>
internal static class OnePatientRule
{
    public static IEnumerable<ValidationIssue> Check(LinkedRecord record)
    {
        var patients = record.Resources.Where(placed => placed.Resource is Patient).ToList();
        if (patients.Count == 0)
        {
            yield return new ValidationIssue(IssueSeverity.Error, "required", "Bundle", "bundle-patient", "No patient is sent along.");
        }

        foreach (var surplus in patients.Skip(1))
        {
            yield return new ValidationIssue(IssueSeverity.Error, "business-rule", surplus.Place, "bundle-patient", "A second patient is sent along.");
        }

        foreach (var (_, placed) in record.References)
        {
            if (record.Target(placed.Reference) is { Resource: Patient } target && target != patients[0])
            {
                yield return new ValidationIssue(IssueSeverity.Error, "business-rule", placed.Location, "bundle-patient", "The reference leads to another patient than the rest of the bundle.");
            }
        }
    }
}
