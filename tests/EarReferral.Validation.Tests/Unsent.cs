using Hl7.Fhir.Model;

namespace EarReferral.Validation.Tests;

/// <summary>Instances of the types that no referral bundle carries: kept and served only, or not made yet.</summary>
internal static class Unsent
{
    private const string Uuid = "5bbd8634-3dff-54c0-a37b-785da52f5bfc";
    private static readonly ResourceReference Person = new($"Patient/{Uuid}");
    private static readonly ResourceReference Clinician = new($"PractitionerRole/{Uuid}");
    private static readonly ResourceReference Clinic = new($"Organization/{Uuid}");
    private static readonly ResourceReference Visit = new($"Encounter/{Uuid}");

    /// <summary>A fresh instance of the type, or null when the referral bundle carries it.</summary>
    public static Resource? Of(Type type) => type.Name switch
    {
        nameof(Provenance) => Provenance(),
        nameof(Media) => Media(),
        nameof(Consent) => Consent(),
        nameof(Communication) => Communication(),
        nameof(AdverseEvent) => AdverseEvent(),
        nameof(DocumentReference) => DocumentReference(),
        _ => null,
    };

    private static Provenance Provenance() => new()
    {
        Meta = Claim("ear-provenance"),
        Target = [Visit],
        Recorded = new DateTimeOffset(2026, 3, 31, 9, 30, 0, TimeSpan.FromHours(1)),
        Agent =
        [
            new Provenance.AgentComponent
            {
                Type = new CodeableConcept("http://terminology.hl7.org/CodeSystem/provenance-participant-type", "author"),
                Who = Clinician,
            },
        ],
    };

    private static Media Media() => new()
    {
        Meta = Claim("ear-media"),
        Identifier = Own(),
        Status = EventStatus.Completed,
        Type = new CodeableConcept("http://terminology.hl7.org/CodeSystem/media-type", "image"),
        Subject = Person,
        Encounter = Visit,
        Created = new FhirDateTime("2026-03-31T09:20:00+01:00"),
        Operator = Clinician,
        BodySite = new CodeableConcept("http://snomed.info/sct", "25577004", "Right ear structure", "Right ear"),
        Content = new Attachment { ContentType = "image/jpeg", Url = "https://images.harbour-lane.example/IMG-1" },
    };

    private static Consent Consent() => new()
    {
        Meta = Claim("ear-consent"),
        Identifier = Own(),
        Status = Hl7.Fhir.Model.Consent.ConsentState.Active,
        Scope = new CodeableConcept("http://terminology.hl7.org/CodeSystem/consentscope", "patient-privacy"),
        Category =
        [
            new CodeableConcept { Coding = [new Coding("http://loinc.org", "59284-0"), new Coding("https://ear-referral.example/fhir/CodeSystem/consent-use", "sharing-with-gp")] },
        ],
        Patient = Person,
        DateTime = "2026-03-31T09:05:00+01:00",
        Organization = [Clinic],
        PolicyRule = new CodeableConcept { Text = "As the clinician recorded the patient's answer" },
        Provision = new Consent.provisionComponent { Type = Hl7.Fhir.Model.Consent.ConsentProvisionType.Deny },
    };

    private static Communication Communication() => new()
    {
        Meta = Claim("ear-communication"),
        Identifier = Own(),
        Status = EventStatus.Completed,
        Subject = Person,
        Sent = "2026-03-31T10:00:00+01:00",
        Recipient = [Person],
        Sender = Clinician,
        Payload = [new Communication.PayloadComponent { Content = new FhirString("Go to the emergency department if the face droops.") }],
    };

    private static AdverseEvent AdverseEvent() => new()
    {
        Meta = Claim("ear-adverse-event"),
        Identifier = new Identifier("https://ear-referral.example/identifier/resource", Uuid),
        Actuality = Hl7.Fhir.Model.AdverseEvent.AdverseEventActuality.Actual,
        Event = new CodeableConcept { Text = "Fall on leaving the chair" },
        Subject = Person,
        Encounter = Visit,
        Date = "2026-03-31T09:25:00+01:00",
        Severity = new CodeableConcept("http://terminology.hl7.org/CodeSystem/adverse-event-severity", "mild"),
        Recorder = Clinician,
    };

    private static DocumentReference DocumentReference() => new()
    {
        Meta = Claim("ear-document-reference"),
        Identifier = Own(),
        Status = DocumentReferenceStatus.Current,
        Type = new CodeableConcept("http://loinc.org", "34133-9"),
        Subject = Person,
        Date = new DateTimeOffset(2026, 3, 31, 9, 30, 0, TimeSpan.FromHours(1)),
        Author = [Clinician],
        Custodian = Clinic,
        Content = [new DocumentReference.ContentComponent { Attachment = new Attachment { ContentType = "application/pdf", Url = "https://letters.harbour-lane.example/1" } }],
        Context = new DocumentReference.ContextComponent { Encounter = [Visit] },
    };

    private static Meta Claim(string profile) => new() { Profile = [$"https://ear-referral.example/fhir/StructureDefinition/{profile}"] };

    private static List<Identifier> Own() => [new Identifier("https://ear-referral.example/identifier/resource", Uuid)];
}
