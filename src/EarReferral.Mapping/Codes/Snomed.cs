namespace EarReferral.Mapping.Codes;

/// <summary>SNOMED CT concepts, each once.</summary>
/// <remarks>
/// Sources: GPS = SNOMED Global Patient Set 2020-09; IPS = IPS free set 2022; R4 = value sets of HL7 FHIR R4; DICOM = PS3.16 context groups;
/// UK Core = NHS England staging value sets; Editorial = SNOMED editorial guide. Whether a concept is still active must be checked once
/// against a licensed release before go-live.
/// </remarks>
public static class Snomed
{
    public static readonly Term RightEar = Of("25577004", "Right ear structure", Evidence.TwoPublishers, "GPS; Nictiz zib 2020");
    public static readonly Term LeftEar = Of("89644007", "Left ear structure", Evidence.TwoPublishers, "GPS; Nictiz zib 2020");
    public static readonly Term EarCanal = Of("84301002", "External auditory canal structure", Evidence.TwoPublishers, "GPS; DICOM; Editorial");
    public static readonly Term Eardrum = Of("42859004", "Tympanic membrane structure", Evidence.TwoPublishers, "Editorial; public code lists");
    public static readonly Term Right = Of("24028007", "Right", Evidence.TwoPublishers, "GPS; DICOM");
    public static readonly Term Left = Of("7771000", "Left", Evidence.TwoPublishers, "GPS; DICOM");
    public static readonly Term Anterior = Of("255549009", "Anterior", Evidence.TwoPublishers, "GPS; DICOM");
    public static readonly Term Posterior = Of("255551008", "Posterior", Evidence.TwoPublishers, "GPS; R4; DICOM");
    public static readonly Term Superior = Of("264217000", "Superior", Evidence.TwoPublishers, "GPS; R4; DICOM");
    public static readonly Term Inferior = Of("261089000", "Inferior", Evidence.TwoPublishers, "GPS; R4; DICOM");

    public static readonly Term Present = Of("52101004", "Present", Evidence.TwoPublishers, "GPS; IPS; DICOM");
    public static readonly Term Absent = Of("2667000", "Absent", Evidence.TwoPublishers, "GPS; IPS; OHDSI");
    public static readonly Term Partial = Of("255609007", "Partial", Evidence.TwoPublishers, "GPS; DICOM");
    public static readonly Term Complete = Of("255594003", "Complete", Evidence.TwoPublishers, "GPS; DICOM");

    public static readonly Term RemovalOfEarWax = Of("385904005", "Removal of ear wax", Evidence.TwoReleases, "GPS; IPS. No code for suction or manual removal was seen, so the method is local");
    public static readonly Term RemovalOfForeignBody = Of("10849003", "Removal of foreign body", Evidence.TwoPublishers, "GPS; IPS; DICOM");
    public static readonly Term Successful = Of("385669000", "Successful", Evidence.TwoPublishers, "R4 procedure-outcome; public code lists");
    public static readonly Term PartiallySuccessful = Of("385670004", "Partially successful", Evidence.TwoPublishers, "R4 procedure-outcome; public code lists");
    public static readonly Term Unsuccessful = Of("385671000", "Unsuccessful", Evidence.TwoPublishers, "R4 procedure-outcome; public code lists");
    public static readonly Term RefusalByPatient = Of("105480006", "Refusal of treatment by patient", Evidence.TwoPublishers, "GPS; IPS; R4");

    public static readonly Term Pain = Of("22253000", "Pain", Evidence.TwoPublishers, "GPS; IPS; public code lists");
    public static readonly Term Bleeding = Of("131148009", "Bleeding", Evidence.TwoPublishers, "GPS; IPS; OHDSI");
    public static readonly Term Syncope = Of("271594007", "Syncope", Evidence.TwoPublishers, "GPS; IPS; DICOM");
    public static readonly Term Vertigo = Of("399153001", "Vertigo", Evidence.TwoPublishers, "GPS; IPS; OHDSI");
    public static readonly Term Tinnitus = Of("60862001", "Tinnitus", Evidence.TwoPublishers, "GPS; IPS; OHDSI");
    public static readonly Term ObjectiveTinnitus = Of("28715001", "Objective tinnitus", Evidence.TwoPublishers, "GPS; IPS; primary-care code lists");
    public static readonly Term PerforatedEardrum = Of("60442001", "Perforation of tympanic membrane", Evidence.TwoReleases, "GPS; IPS");
    public static readonly Term PainOfEar = Of("301354004", "Pain of ear", Evidence.TwoPublishers, "UK Core; public code lists. 16001004 Otalgia circulates too; one is emitted");
    public static readonly Term EarDischarge = Of("300132001", "Ear discharge", Evidence.TwoPublishers, "GPS; Disease Ontology");
    public static readonly Term BloodInEarCanal = Of("271741001", "Blood in ear canal", Evidence.TwoPublishers, "GPS; SNOMED browser 2026-05");
    public static readonly Term OtitisExterna = Of("3135009", "Otitis externa", Evidence.TwoPublishers, "GPS; IPS; R4");
    public static readonly Term ForeignBodyInEar = Of("75441006", "Foreign body in ear", Evidence.TwoReleases, "GPS; IPS");
    public static readonly Term Immunocompromised = Of("370388006", "Patient immunocompromised", Evidence.TwoPublishers, "GPS; DICOM");
    public static readonly Term Diabetes = Of("73211009", "Diabetes mellitus", Evidence.TwoPublishers, "GPS; IPS; HL7");
    public static readonly Term Anticoagulant = Of("182764009", "Anticoagulant therapy", Evidence.TwoPublishers, "GPS; IPS; R4");
    public static readonly Term EarProblem = Of("300197009", "Ear problem", Evidence.TwoReleases, "GPS; IPS");

    // No better attested code was seen for the four referral procedures and for microscopic or otoscopic work on the ear.
    public static readonly Term ReferralToEnt = Of("183544005", "Referral to ear, nose and throat service", Evidence.OnePublication, "GPS only");
    public static readonly Term ReferralToAudiologist = Of("308456006", "Referral to audiologist", Evidence.OnePublication, "GPS only");
    public static readonly Term ReferralToGp = Of("183561008", "Referral to general practitioner", Evidence.OnePublication, "GPS only");
    public static readonly Term PatientReferral = Of("3457005", "Patient referral", Evidence.TwoPublishers, "GPS; R4");

    public static readonly Term EntSurgery = Of("394604002", "Surgery-Ear, nose and throat surgery", Evidence.TwoPublishers, "R4 c80-practice-codes; public code lists");
    public static readonly Term RegisteredNurse = Of("224535009", "Registered nurse", Evidence.TwoPublishers, "GPS; R4; UK Core");
    public static readonly Term NursePractitioner = Of("224571005", "Nurse practitioner", Evidence.TwoPublishers, "GPS; R4; UK Core");
    public static readonly Term Audiologist = Of("309418004", "Audiologist", Evidence.TwoPublishers, "R4; UK Core");
    public static readonly Term HearingAidDispenser = Of("309421002", "Hearing aid dispenser", Evidence.TwoPublishers, "R4; UK Core");
    public static readonly Term HearingTherapist = Of("309419007", "Hearing therapist", Evidence.TwoPublishers, "R4; UK Core");
    public static readonly Term EntSurgeon = Of("309372007", "Ear, nose and throat surgeon", Evidence.TwoPublishers, "R4; UK Core");

    private static Term Of(string code, string display, Evidence evidence, string source) => new(CodeSystems.Snomed, code, display, evidence, source);
}
