using Hl7.Fhir.Model;

namespace EarReferral.Summary.Pages;

/// <summary>The NHS number as people read it, with a word wherever nobody has verified it.</summary>
internal static class PatientNumber
{
    private const string System = "https://fhir.nhs.uk/Id/nhs-number";

    // The code system of UK Core; every other code is something less than verified.
    private const string VerificationStatus = "https://fhir.hl7.org.uk/StructureDefinition/Extension-UKCore-NHSNumberVerificationStatus";
    private const string Verified = "number-present-and-verified";

    public static string Words(Patient? patient)
    {
        if (patient?.Identifier.Find(identifier => identifier.System == System) is not { Value: { } value } number)
        {
            return "not known";
        }

        var spaced = value.Length == 10 ? $"{value[..3]} {value[3..6]} {value[6..]}" : value;
        var isVerified = number.Extension.Exists(extension => extension.Url == VerificationStatus && extension.Value is CodeableConcept status && status.Coding.Exists(coding => coding.Code == Verified));
        return isVerified ? spaced : $"{spaced} (not verified)";
    }
}
