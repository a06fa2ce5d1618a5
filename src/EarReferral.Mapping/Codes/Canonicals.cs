namespace EarReferral.Mapping.Codes;

/// <summary>Profiles, extensions and identifier systems.</summary>
public static class Canonicals
{
    public const string ResourceIdentifier = "https://ear-referral.example/identifier/resource";
    public const string NhsNumber = "https://fhir.nhs.uk/Id/nhs-number";
    public const string OdsCode = "https://fhir.nhs.uk/Id/ods-organization-code";
    public const string GmcNumber = "https://fhir.hl7.org.uk/Id/gmc-number";
    public const string NmcNumber = "https://fhir.hl7.org.uk/Id/nmc-number";
    public const string GphcNumber = "https://fhir.hl7.org.uk/Id/gphc-number";

    /// <summary>No published identifier system was seen for this register.</summary>
    public const string HcpcNumber = "https://ear-referral.example/identifier/registration/hcpc";
    public const string OtherRegistration = "https://ear-referral.example/identifier/registration/other";

    /// <summary>Our identifiers of software that assembles resources.</summary>
    public const string Software = "https://ear-referral.example/identifier/software";

    /// <summary>Content named by its SHA-256, lower-case hexadecimal.</summary>
    public const string ContentHash = "https://ear-referral.example/identifier/sha256";

    /// <summary>UK Core extension on Identifier.</summary>
    public const string NhsNumberVerificationStatus = "https://fhir.hl7.org.uk/StructureDefinition/Extension-UKCore-NHSNumberVerificationStatus";
    public const string NhsNumberVerificationStatusCodes = "https://fhir.hl7.org.uk/CodeSystem/UKCore-NHSNumberVerificationStatus";

    /// <summary>UK Core extension on Patient.</summary>
    public const string NhsNumberUnavailableReason = "https://fhir.hl7.org.uk/StructureDefinition/Extension-UKCore-NHSNumberUnavailableReason";
    public const string NhsNumberUnavailableReasonCodes = "https://fhir.hl7.org.uk/CodeSystem/UKCore-NHSNumberUnavailableReason";

    /// <summary>HL7 core extension: why an element has no value.</summary>
    public const string DataAbsentReason = "http://hl7.org/fhir/StructureDefinition/data-absent-reason";

    /// <summary>HL7 core extension: an interpreter is required.</summary>
    public const string InterpreterRequired = "http://hl7.org/fhir/StructureDefinition/patient-interpreterRequired";

    /// <summary>UK Core extension on ServiceRequest, a CodeableConcept; R4 core has none for the reason of a priority.</summary>
    public const string PriorityReason = "https://fhir.hl7.org.uk/StructureDefinition/Extension-UKCore-PriorityReason";

    /// <summary>Our extension on a body site: right or left as a code to compute with.</summary>
    public static readonly string Laterality = Structure("laterality");

    /// <summary>Our extension on an Observation that was derived: the earlier visit it was taken from.</summary>
    public static readonly string DerivedFromEncounter = Structure("derived-from-encounter");

    /// <summary>Canonical URL of one of our profiles or extensions.</summary>
    public static string Structure(string name) => $"{CodeSystems.Base}/StructureDefinition/{name}";

    /// <summary>Identifier system of a clinic's own numbers; <paramref name="kind"/> is <c>encounter</c>, <c>patient</c> or <c>practitioner</c>.</summary>
    public static string ClinicNumbers(string clinicId, string kind) => $"https://ear-referral.example/identifier/clinic/{Uri.EscapeDataString(clinicId)}/{kind}";
}
