namespace EarReferral.Mapping.Codes;

/// <summary>Codes that HL7 defines (HL7 FHIR R4 4.0.1, HL7 Terminology).</summary>
public static class Hl7Codes
{
    public static readonly Term Ambulatory = Of("http://terminology.hl7.org/CodeSystem/v3-ActCode", "AMB", "ambulatory");
    public static readonly Term HomeHealth = Of("http://terminology.hl7.org/CodeSystem/v3-ActCode", "HH", "home health");
    public static readonly Term Exam = Of("http://terminology.hl7.org/CodeSystem/observation-category", "exam", "Exam");
    public static readonly Term NotAsked = Of("http://terminology.hl7.org/CodeSystem/data-absent-reason", "not-asked", "Not Asked");
    public static readonly Term NotPerformed = Of("http://terminology.hl7.org/CodeSystem/data-absent-reason", "not-performed", "Not Performed");
    public static readonly Term Unknown = Of("http://terminology.hl7.org/CodeSystem/data-absent-reason", "unknown", "Unknown");
    public static readonly Term ConditionActive = Of("http://terminology.hl7.org/CodeSystem/condition-clinical", "active", "Active");
    public static readonly Term Provisional = Of("http://terminology.hl7.org/CodeSystem/condition-ver-status", "provisional", "Provisional");
    public static readonly Term Unconfirmed = Of("http://terminology.hl7.org/CodeSystem/condition-ver-status", "unconfirmed", "Unconfirmed");
    public static readonly Term EncounterDiagnosis = Of("http://terminology.hl7.org/CodeSystem/condition-category", "encounter-diagnosis", "Encounter Diagnosis");
    public static readonly Term PlacerIdentifier = Of("http://terminology.hl7.org/CodeSystem/v2-0203", "PLAC", "Placer Identifier");
    public static readonly Term Fulfill = Of("http://hl7.org/fhir/CodeSystem/task-code", "fulfill", "Fulfill the focal request");
    public static readonly Term Doctor = Of("http://terminology.hl7.org/CodeSystem/practitioner-role", "doctor", "Doctor");
    public static readonly Term Author = Of("http://terminology.hl7.org/CodeSystem/provenance-participant-type", "author", "Author");
    public static readonly Term Assembler = Of("http://terminology.hl7.org/CodeSystem/provenance-participant-type", "assembler", "Assembler");
    public static readonly Term PrimaryPerformer = Of("http://terminology.hl7.org/CodeSystem/v3-ParticipationType", "PPRF", "primary performer");
    public static readonly Term Image = Of("http://terminology.hl7.org/CodeSystem/media-type", "image", "Image");
    public static readonly Term Video = Of("http://terminology.hl7.org/CodeSystem/media-type", "video", "Video");
    public static readonly Term TreatmentConsent = Of("http://terminology.hl7.org/CodeSystem/consentscope", "treatment", "Treatment");
    public static readonly Term PrivacyConsent = Of("http://terminology.hl7.org/CodeSystem/consentscope", "patient-privacy", "Privacy Consent");
    public static readonly Term InformationRecipient = Of("http://terminology.hl7.org/CodeSystem/v3-ParticipationType", "IRCP", "information recipient");

    /// <summary>BCP 47 language tags (RFC 5646), as FHIR R4 names the system.</summary>
    public const string LanguageTags = "urn:ietf:bcp:47";

    private static Term Of(string system, string code, string display) => new(system, code, display, Evidence.Specification, "HL7 FHIR R4 4.0.1 / HL7 Terminology");
}
