using EarReferral.Validation.Tests.Pack;
using Hl7.Fhir.Model;

namespace EarReferral.Validation.Tests;

/// <summary>Each invariant of our profiles has an instance that meets it, where it is decided and not vacuous, and one that breaks it.</summary>
public sealed class InvariantTests
{
    private const string Laterality = "https://ear-referral.example/fhir/StructureDefinition/laterality";
    private const string SnomedCt = "http://snomed.info/sct";
    private const string NhsNumber = "https://fhir.nhs.uk/Id/nhs-number";

    private sealed record Case(string Key, Func<Resource> Meets, Func<Resource> Breaks);

    private static readonly Case[] Cases =
    [
        // NHS Data Dictionary, NHS NUMBER: ten digits, weights 10 to 2, check digit 11 minus the remainder.
        Of<Patient>("ear-pat-1", patient => Nhs(patient).Value = "9990000026", patient => Nhs(patient).Value = "999 000 0026"),
        Of<Patient>("ear-pat-2", patient => Nhs(patient).Value = "9990000050", patient => Nhs(patient).Value = "9990000027"),
        Of<Patient>("ear-pat-3", _ => { }, patient => patient.Identifier.RemoveAll(identifier => identifier.System == NhsNumber)),
        Of<Patient>("ear-pat-4", _ => { }, patient => Nhs(patient).Extension.Clear()),
        Of<Organization>("ear-org-1", organization => Ods(organization).Value = "WQG07", organization => Ods(organization).Value = "wqg07"),
        Of<Encounter>("ear-enc-1", visit => visit.Status = Encounter.EncounterStatus.EnteredInError, visit => visit.Status = Encounter.EncounterStatus.InProgress),
        Of<Encounter>("ear-enc-2", _ => { }, visit => visit.Identifier.RemoveAll(identifier => identifier.System!.EndsWith("/encounter", StringComparison.Ordinal))),
        Of<Procedure>(
            "ear-prc-1",
            procedure => (procedure.Status, procedure.StatusReason) = (EventStatus.Stopped, new CodeableConcept { Text = "Pain" }),
            procedure => (procedure.Status, procedure.StatusReason) = (EventStatus.Stopped, null)),
        Of<Procedure>("ear-prc-2", _ => { }, procedure => (procedure.Status, procedure.Outcome) = (EventStatus.Completed, null)),
        Of<Procedure>("ear-lat-1", _ => { }, procedure => procedure.BodySite[0].Extension = [new Extension(Laterality, new CodeableConcept(SnomedCt, "7771000"))]),
        Of<Procedure>("ear-lat-2", _ => { }, procedure => procedure.BodySite[0].Text = "Left ear"),
        Of<Procedure>("ear-lat-3", _ => { }, procedure => (procedure.BodySite[0].Text, procedure.BodySite[0].Coding) = (null, [new Coding(SnomedCt, "25577004"), new Coding(SnomedCt, "89644007")])),
        Of<Observation>("ear-obs-1", _ => { }, finding => (finding.Value, finding.DataAbsentReason) = (null, null)),
        new Case("ear-obs-2", () => Judge.Finding("drum-perforation"), () => Changed(Judge.Finding("drum-perforation"), finding => finding.Category.RemoveAt(1))),
        new Case(
            "ear-obs-3",
            () => Changed(Judge.Finding("hearing-change"), finding => (finding.Value, finding.DataAbsentReason) = (null, new CodeableConcept("http://terminology.hl7.org/CodeSystem/data-absent-reason", "not-asked"))),
            () => Changed(Judge.Finding("hearing-change"), finding => (finding.Value, finding.DataAbsentReason) = (new CodeableConcept("https://ear-referral.example/fhir/CodeSystem/hearing-change", "not-asked"), null))),
        new Case("ear-obs-4", () => Judge.Finding("general-temperature"), () => Changed(Judge.Finding("general-temperature"), finding => finding.Value = new Quantity { Value = 36.7m, Unit = "°C" })),
        new Case("ear-obs-5", Derived, () => Changed(Derived(), finding => finding.Extension.Clear())),
        new Case("ear-obs-6", Derived, () => Changed(Derived(), finding => finding.DerivedFrom.Clear())),
        Of<Condition>("ear-con-1", _ => { }, problem => problem.ClinicalStatus = null),
        Of<Condition>("ear-con-2", _ => { }, problem => (problem.Evidence, problem.Note) = ([], [])),
        Of<ServiceRequest>("ear-ref-1", request => request.ReasonReference = [], request => (request.ReasonCode, request.ReasonReference) = ([], [])),
        Of<ServiceRequest>("ear-ref-2", _ => { }, request => (request.Performer, request.PerformerType) = ([], null)),
        Of<ServiceRequest>("ear-ref-3", _ => { }, request => ((Period)request.Occurrence!).End = null),
        Of<Hl7.Fhir.Model.Task>(
            "ear-tsk-1",
            task => (task.Status, task.StatusReason) = (Hl7.Fhir.Model.Task.TaskStatus.Rejected, new CodeableConcept { Text = "Not for this service" }),
            task => task.Status = Hl7.Fhir.Model.Task.TaskStatus.Rejected),
        Of<Composition>("ear-cmp-1", _ => { }, summary => summary.Section[0].Title = null),
        Of<Media>("ear-med-1", picture => picture.Content = new Attachment { ContentType = "image/jpeg", Title = "IMG-1" }, picture => picture.Content!.Url = "http://images.harbour-lane.example/IMG-1"),
        Of<Consent>("ear-cns-1", _ => { }, consent => consent.Category[0].Coding.RemoveAt(1)),
        Of<Consent>("ear-cns-2", consent => consent.Status = Consent.ConsentState.EnteredInError, consent => consent.Status = Consent.ConsentState.Rejected),
        Of<Communication>("ear-com-1", _ => { }, told => told.Sent = null),
        Of<Communication>(
            "ear-com-2",
            told => (told.Status, told.StatusReason) = (EventStatus.NotDone, new CodeableConcept { Text = "No answer" }),
            told => told.Status = EventStatus.NotDone),
        Of<AdverseEvent>("ear-adv-1", harm => (harm.Severity, harm.Outcome) = (null, new CodeableConcept("http://terminology.hl7.org/CodeSystem/adverse-event-outcome", "resolved")), harm => harm.Severity = null),
        Of<AdverseEvent>(
            "ear-adv-2",
            harm => harm.Actuality = AdverseEvent.AdverseEventActuality.Potential,
            harm => (harm.Actuality, harm.Outcome) = (AdverseEvent.AdverseEventActuality.Potential, new CodeableConcept("http://terminology.hl7.org/CodeSystem/adverse-event-outcome", "resolved"))),
        Of<DocumentReference>("ear-doc-1", _ => { }, letter => letter.Content[0].Attachment!.ContentType = null),
        Of<DocumentReference>(
            "ear-doc-2",
            letter => letter.Content[0].Attachment = new Attachment { ContentType = "text/plain", Data = "Letter"u8.ToArray() },
            letter => letter.Content[0].Attachment!.Url = "http://letters.harbour-lane.example/1"),
        Of<Provenance>("ear-prv-1", _ => { }, provenance => provenance.Agent[0].Type = null),
    ];

    /// <summary>All instances, two per invariant, named by key and what they do.</summary>
    internal static IEnumerable<(string Name, Resource Resource)> Instances =>
        Cases.SelectMany(one => new[] { ($"{one.Key} meets", one.Meets()), ($"{one.Key} breaks", one.Breaks()) });

    public static TheoryData<string> Keys => [.. Cases.Select(one => one.Key)];

    [Theory]
    [MemberData(nameof(Keys))]
    public void InstanceThatMeetsIt_IsValid(string key) =>
        Assert.DoesNotContain(Judge.Validator.Validate(Cases.Single(one => one.Key == key).Meets()).Issues, issue => issue.Severity == IssueSeverity.Error);

    [Theory]
    [MemberData(nameof(Keys))]
    public void InstanceThatBreaksIt_IsRefusedForThatAndNothingElse(string key)
    {
        var errors = Judge.Validator.Validate(Cases.Single(one => one.Key == key).Breaks()).Issues.Where(issue => issue.Severity == IssueSeverity.Error).ToList();

        Assert.Contains(errors, issue => issue.RuleId == key && issue.Code == "invariant");
        Assert.Equal([key], errors.Select(issue => issue.RuleId).Distinct());
    }

    [Fact]
    public void EveryInvariantOfOurProfiles_HasACase() =>
        Assert.Equal(
            DefinitionPack.Authored().SelectMany(profile => profile.Differential!.Element).SelectMany(element => element.Constraint).Select(constraint => constraint.Key!).Distinct().Order(StringComparer.Ordinal),
            Cases.Select(one => one.Key).Order(StringComparer.Ordinal));

    /// <summary>A fact of an ear that an earlier visit tells.</summary>
    private static Observation Derived() => Changed(Judge.Finding("drum-perforation"), finding =>
    {
        finding.Code = new CodeableConcept("https://ear-referral.example/fhir/CodeSystem/finding", "derived-discharge-recurs", "From earlier visits: discharge comes back", "From earlier visits: discharge comes back");
        (finding.Value, finding.DataAbsentReason) = (new CodeableConcept("http://snomed.info/sct", "52101004", "Present", "Present"), null);
        finding.Component.Clear();
        finding.Extension.Add(new Extension("https://ear-referral.example/fhir/StructureDefinition/derived-from-encounter", new ResourceReference("Encounter/3f0c8d1e-50b1-4b55-9f35-2a1b6d6f0c01")));
        finding.DerivedFrom.Add(new ResourceReference("Observation/3f0c8d1e-50b1-4b55-9f35-2a1b6d6f0c02"));
    });

    private static Case Of<TResource>(string key, Action<TResource> meets, Action<TResource> breaks)
        where TResource : Resource => new(key, () => Changed(Pick<TResource>(), meets), () => Changed(Pick<TResource>(), breaks));

    // The invariants of a side are decided only where there is a right ear, those of an ODS code only where there is one.
    private static TResource Pick<TResource>()
        where TResource : Resource => Judge.First<TResource>(resource => resource switch
        {
            Procedure procedure => procedure.BodySite[0].Text == "Right ear",
            Organization organization => organization.Identifier.Any(identifier => identifier.System == "https://fhir.nhs.uk/Id/ods-organization-code"),
            _ => true,
        });

    private static TResource Changed<TResource>(TResource resource, Action<TResource> change)
        where TResource : Resource
    {
        change(resource);
        return resource;
    }

    private static Identifier Nhs(Patient patient) => patient.Identifier.Single(identifier => identifier.System == NhsNumber);

    private static Identifier Ods(Organization organization) => organization.Identifier.Single(identifier => identifier.System == "https://fhir.nhs.uk/Id/ods-organization-code");
}
