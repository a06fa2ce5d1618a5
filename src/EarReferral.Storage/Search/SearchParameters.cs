using Hl7.Fhir.Model;
using static EarReferral.Storage.Search.ElementValues;
using FhirTask = Hl7.Fhir.Model.Task;

namespace EarReferral.Storage.Search;

/// <summary>Every search parameter that is supported. The index, the query parser and the capability statement read this table.</summary>
/// <remarks>
/// Names, kinds and the elements they read are those of the FHIR R4 search parameter registry, against which a test compares the
/// rows; laterality is ours, as profiles/search-parameters defines it. Above the usual length because it is a table.
/// </remarks>
public static class SearchParameters
{
    /// <summary>Raise this when a row changes and put the row under <see cref="NewIn"/>; stored resources are then indexed anew while the gateway serves.</summary>
    internal const int IndexVersion = 3;

    private const string Laterality = "https://ear-referral.example/fhir/StructureDefinition/laterality";

    private static readonly string[] Patients = ["Patient"];
    private static readonly string[] Visits = ["Encounter"];
    private static readonly string[] People = ["Practitioner", "PractitionerRole", "Organization", "Patient"];
    private static readonly string[] Clinicians = ["Practitioner", "PractitionerRole"];
    private static readonly string[] Reasons = ["Condition", "Observation", "Procedure"];

    /// <summary>All rows.</summary>
    public static IReadOnlyList<SearchParameter> All { get; } =
    [
        Tokens<Procedure>("identifier", "An identifier of the procedure.", r => ElementValues.Tokens(r.Identifier), narrows: true),
        Refers<Procedure>("patient", "The patient treated.", r => Reference(r.Subject), Patients, narrows: true),
        Refers<Procedure>("subject", "The patient treated.", r => Reference(r.Subject), Patients, narrows: true),
        Refers<Procedure>("encounter", "The visit it was done at.", r => Reference(r.Encounter), Visits, narrows: true),
        Refers<Procedure>("performer", "Who did it.", r => References(r.Performer.Select(each => each.Actor)), People),
        Dates<Procedure>("date", "When it was done.", r => Date(r.Performed), sorts: true),
        Tokens<Procedure>("code", "What was done.", r => Token(r.Code)),
        Tokens<Procedure>("status", "Its status, such as completed or not-done.", r => Token(r.Status)),
        Tokens<Procedure>("category", "Its category.", r => Token(r.Category)),
        Tokens<Procedure>("laterality", "The ear it was done to.", r => Sides(r.BodySite)),
        .. NewIn(
            3,
            Refers<Procedure>("based-on", "The request it fulfils.", r => References(r.BasedOn), ["ServiceRequest"]),
            Refers<Procedure>("part-of", "The procedure or finding it is part of.", r => References(r.PartOf), ["Procedure", "Observation"]),
            Tokens<Procedure>("reason-code", "Why it was done, as a code.", r => ElementValues.Tokens(r.ReasonCode)),
            Refers<Procedure>("reason-reference", "Why it was done, as a record.", r => References(r.ReasonReference), [.. Reasons, "DocumentReference"])),

        Tokens<Encounter>("identifier", "An identifier of the visit, such as the clinic's own number.", r => ElementValues.Tokens(r.Identifier), narrows: true),
        Refers<Encounter>("patient", "The patient seen.", r => Reference(r.Subject), Patients, narrows: true),
        Refers<Encounter>("subject", "The patient seen.", r => Reference(r.Subject), Patients, narrows: true),
        Refers<Encounter>("service-provider", "The clinic.", r => Reference(r.ServiceProvider), ["Organization"]),
        Dates<Encounter>("date", "When the visit was.", r => Date(r.Period), sorts: true),
        Tokens<Encounter>("status", "Its status.", r => Token(r.Status)),
        Tokens<Encounter>("class", "Its class.", r => Token(r.Class)),
        .. NewIn(
            3,
            Tokens<Encounter>("type", "Its type.", r => ElementValues.Tokens(r.Type)),
            Refers<Encounter>("participant", "Who took part.", r => References(r.Participant.Select(each => each.Individual).OfType<ResourceReference>()), Clinicians),
            Refers<Encounter>("practitioner", "The practitioner who took part.", r => Only("Practitioner", References(r.Participant.Select(each => each.Individual).OfType<ResourceReference>())), ["Practitioner"]),
            Tokens<Encounter>("reason-code", "Why the patient came, as a code.", r => ElementValues.Tokens(r.ReasonCode)),
            Refers<Encounter>("reason-reference", "Why the patient came, as a record.", r => References(r.ReasonReference), Reasons),
            Refers<Encounter>("diagnosis", "A problem or procedure of the visit.", r => References(r.Diagnosis.Select(each => each.Condition)), ["Condition", "Procedure"]),
            Refers<Encounter>("part-of", "The visit it is part of.", r => Reference(r.PartOf), Visits),
            Refers<Encounter>("based-on", "The request it fulfils.", r => References(r.BasedOn), ["ServiceRequest"])),

        Tokens<Observation>("identifier", "An identifier of the finding.", r => ElementValues.Tokens(r.Identifier), narrows: true),
        Refers<Observation>("patient", "The patient examined.", r => Reference(r.Subject), Patients, narrows: true),
        Refers<Observation>("subject", "The patient examined.", r => Reference(r.Subject), Patients, narrows: true),
        Refers<Observation>("encounter", "The visit it was made at.", r => Reference(r.Encounter), Visits, narrows: true),
        Refers<Observation>("part-of", "The procedure it belongs to.", r => References(r.PartOf), ["Procedure"], narrows: true),
        Dates<Observation>("date", "When it was true.", r => Date(r.Effective), sorts: true),
        Tokens<Observation>("code", "Which finding.", r => Token(r.Code)),
        Tokens<Observation>("category", "Its category.", r => ElementValues.Tokens(r.Category)),
        Tokens<Observation>("status", "Its status.", r => Token(r.Status)),
        Tokens<Observation>("laterality", "The ear it is about.", r => Sides(Site(r.BodySite))),
        .. NewIn(
            3,
            Tokens<Observation>("value-concept", "What was found, where that is a code.", r => Token(r.Value as CodeableConcept)),
            Tokens<Observation>("data-absent-reason", "Why there is no value, such as not-asked.", r => Token(r.DataAbsentReason)),
            Tokens<Observation>("component-code", "What a part of the finding is about.", r => ElementValues.Tokens(r.Component.Select(part => part.Code).OfType<CodeableConcept>())),
            Tokens<Observation>("component-value-concept", "What a part of the finding says, where that is a code.", r => ElementValues.Tokens(r.Component.Select(part => part.Value).OfType<CodeableConcept>())),
            Refers<Observation>("performer", "Who made it.", r => References(r.Performer), People),
            Refers<Observation>("has-member", "A finding that it groups.", r => References(r.HasMember), ["Observation"]),
            Refers<Observation>("derived-from", "What it was derived from.", r => References(r.DerivedFrom), ["Observation", "Media", "DocumentReference"])),

        Tokens<Condition>("identifier", "An identifier of the problem.", r => ElementValues.Tokens(r.Identifier), narrows: true),
        Refers<Condition>("patient", "The patient who has it.", r => Reference(r.Subject), Patients, narrows: true),
        Refers<Condition>("subject", "The patient who has it.", r => Reference(r.Subject), Patients, narrows: true),
        Refers<Condition>("encounter", "The visit it was found at.", r => Reference(r.Encounter), Visits, narrows: true),
        Dates<Condition>("recorded-date", "When it was recorded.", r => Date(r.RecordedDateElement), sorts: true),
        Tokens<Condition>("code", "Which problem.", r => Token(r.Code)),
        Tokens<Condition>("clinical-status", "Its clinical status.", r => Token(r.ClinicalStatus)),
        Tokens<Condition>("body-site", "The ear.", r => ElementValues.Tokens(r.BodySite)),
        Tokens<Condition>("laterality", "The ear it is about.", r => Sides(r.BodySite)),
        .. NewIn(
            3,
            Tokens<Condition>("category", "Its category.", r => ElementValues.Tokens(r.Category)),
            Tokens<Condition>("verification-status", "How sure it is, or entered-in-error.", r => Token(r.VerificationStatus)),
            Dates<Condition>("onset-date", "When it began.", r => Date(r.Onset)),
            Refers<Condition>("asserter", "Who says that the patient has it.", r => Reference(r.Asserter), [.. Clinicians, "Patient"]),
            Refers<Condition>("evidence-detail", "A finding it rests on.", r => References(r.Evidence.SelectMany(each => each.Detail)), Reasons)),

        Tokens<Composition>("identifier", "The identifier of the summary.", r => Token(r.Identifier), narrows: true),
        Refers<Composition>("patient", "The patient it is about.", r => Reference(r.Subject), Patients, narrows: true),
        Refers<Composition>("subject", "The patient it is about.", r => Reference(r.Subject), Patients, narrows: true),
        Refers<Composition>("encounter", "The visit it sums up.", r => Reference(r.Encounter), Visits, narrows: true),
        Refers<Composition>("entry", "A resource that one of its sections lists.", r => References(Sections(r.Section).SelectMany(each => each.Entry)), [.. Reasons, "Patient", "ServiceRequest", "Task", "Media"], narrows: true),
        Dates<Composition>("date", "When it was written.", r => Date(r.DateElement), sorts: true),
        Tokens<Composition>("type", "Its type.", r => Token(r.Type)),
        Tokens<Composition>("status", "Its status, such as final or amended.", r => Token(r.Status)),
        .. NewIn(
            3,
            Refers<Composition>("author", "Who wrote it.", r => References(r.Author), People),
            Tokens<Composition>("section", "The kind of one of its sections.", r => ElementValues.Tokens(Sections(r.Section).Select(each => each.Code).OfType<CodeableConcept>())),
            Tokens<Composition>("category", "Its category.", r => ElementValues.Tokens(r.Category)),
            Tokens<Composition>("confidentiality", "Its confidentiality.", r => Token(r.Confidentiality)),
            Dates<Composition>("period", "The time of the care it describes.", r => r.Event.SelectMany(each => Date(each.Period))),
            Texts<Composition>("title", "The start of its title.", r => Text(r.Title))),

        .. NewIn(
            3,
            Tokens<DocumentReference>("identifier", "An identifier of the document.", r => Token(r.MasterIdentifier).Concat(ElementValues.Tokens(r.Identifier)), narrows: true),
            Refers<DocumentReference>("patient", "The patient it is about.", r => Reference(r.Subject), Patients, narrows: true),
            Refers<DocumentReference>("subject", "The patient it is about.", r => Reference(r.Subject), Patients, narrows: true),
            Refers<DocumentReference>("encounter", "The visit it belongs to.", r => References(r.Context?.Encounter ?? []), Visits, narrows: true),
            Refers<DocumentReference>("related", "The record it presents.", r => References(r.Context?.Related ?? []), ["Composition", "ServiceRequest"], narrows: true),
            Refers<DocumentReference>("author", "Who wrote it.", r => References(r.Author), People),
            Refers<DocumentReference>("custodian", "Who keeps it.", r => Reference(r.Custodian), ["Organization"]),
            Dates<DocumentReference>("date", "When it was written.", r => Date(r.DateElement), sorts: true),
            Dates<DocumentReference>("period", "The time of the care it describes.", r => Date(r.Context?.Period)),
            Tokens<DocumentReference>("type", "Its type.", r => Token(r.Type)),
            Tokens<DocumentReference>("category", "Its category.", r => ElementValues.Tokens(r.Category)),
            Tokens<DocumentReference>("status", "Its status: current, superseded or entered-in-error.", r => Token(r.Status)),
            Tokens<DocumentReference>("contenttype", "Its media type.", r => r.Content.SelectMany(each => Code(each.Attachment?.ContentType))),
            Tokens<DocumentReference>("format", "Its format.", r => r.Content.SelectMany(each => Token(each.Format))),
            Tokens<DocumentReference>("event", "What was done, as a code.", r => ElementValues.Tokens(r.Context?.Event ?? [])),
            Tokens<DocumentReference>("facility", "The kind of place.", r => Token(r.Context?.FacilityType)),
            Tokens<DocumentReference>("setting", "The kind of practice.", r => Token(r.Context?.PracticeSetting)),
            Tokens<DocumentReference>("security-label", "How confidential it is.", r => ElementValues.Tokens(r.SecurityLabel))),

        Tokens<ServiceRequest>("identifier", "An identifier of the referral.", r => ElementValues.Tokens(r.Identifier), narrows: true),
        Refers<ServiceRequest>("patient", "The patient referred.", r => Reference(r.Subject), Patients, narrows: true),
        Refers<ServiceRequest>("subject", "The patient referred.", r => Reference(r.Subject), Patients, narrows: true),
        Refers<ServiceRequest>("encounter", "The visit it was decided at.", r => Reference(r.Encounter), Visits, narrows: true),
        Dates<ServiceRequest>("authored", "When it was decided.", r => Date(r.AuthoredOnElement), sorts: true),
        Tokens<ServiceRequest>("status", "Its status.", r => Token(r.Status)),
        Tokens<ServiceRequest>("priority", "Its priority.", r => Token(r.Priority)),
        Tokens<ServiceRequest>("intent", "Its intent.", r => Token(r.Intent)),
        Tokens<ServiceRequest>("laterality", "The ear it is about.", r => Sides(r.BodySite)),
        .. NewIn(
            3,
            Tokens<ServiceRequest>("code", "What is asked for.", r => Token(r.Code)),
            Tokens<ServiceRequest>("category", "Its category.", r => ElementValues.Tokens(r.Category)),
            Tokens<ServiceRequest>("body-site", "The ear.", r => ElementValues.Tokens(r.BodySite)),
            Tokens<ServiceRequest>("requisition", "The identifier of the group of requests it belongs to.", r => Token(r.Requisition), narrows: true),
            Dates<ServiceRequest>("occurrence", "When it should be done.", r => Date(r.Occurrence)),
            Refers<ServiceRequest>("requester", "Who asks.", r => Reference(r.Requester), People),
            Refers<ServiceRequest>("performer", "Who is asked.", r => References(r.Performer), People),
            Refers<ServiceRequest>("replaces", "The referral that it replaces.", r => References(r.Replaces), ["ServiceRequest"]),
            Refers<ServiceRequest>("based-on", "The request it fulfils.", r => References(r.BasedOn), ["ServiceRequest"])),

        Tokens<FhirTask>("identifier", "An identifier of the task.", r => ElementValues.Tokens(r.Identifier), narrows: true),
        Refers<FhirTask>("patient", "The patient it is for.", r => Reference(r.For), Patients, narrows: true),
        Refers<FhirTask>("focus", "The referral it is about.", r => Reference(r.Focus), ["ServiceRequest"], narrows: true),
        Refers<FhirTask>("owner", "Who has to act.", r => Reference(r.Owner), People),
        Refers<FhirTask>("requester", "Who asked.", r => Reference(r.Requester), People),
        Dates<FhirTask>("modified", "When it was last changed.", r => Date(r.LastModifiedElement), sorts: true),
        Tokens<FhirTask>("status", "Its status.", r => Token(r.Status)),
        Tokens<FhirTask>("business-status", "Its business status.", r => Token(r.BusinessStatus)),
        .. NewIn(
            3,
            Refers<FhirTask>("subject", "The patient it is for.", r => Reference(r.For), Patients, narrows: true),
            Refers<FhirTask>("encounter", "The visit it was decided at.", r => Reference(r.Encounter), Visits, narrows: true),
            Refers<FhirTask>("based-on", "The request it fulfils.", r => References(r.BasedOn), ["ServiceRequest"], narrows: true),
            Refers<FhirTask>("part-of", "The task it is part of.", r => References(r.PartOf), ["Task"]),
            Dates<FhirTask>("authored-on", "When it was made.", r => Date(r.AuthoredOnElement)),
            Dates<FhirTask>("period", "When it was worked on.", r => Date(r.ExecutionPeriod)),
            Tokens<FhirTask>("code", "What is to be done.", r => Token(r.Code)),
            Tokens<FhirTask>("intent", "Its intent.", r => Token(r.Intent)),
            Tokens<FhirTask>("priority", "Its priority.", r => Token(r.Priority)),
            Tokens<FhirTask>("group-identifier", "The identifier of the group of tasks it belongs to.", r => Token(r.GroupIdentifier))),

        .. NewIn(
            3,
            Tokens<Communication>("identifier", "An identifier of the message.", r => ElementValues.Tokens(r.Identifier), narrows: true),
            Refers<Communication>("patient", "The patient it is about.", r => Reference(r.Subject), Patients, narrows: true),
            Refers<Communication>("subject", "The patient it is about.", r => Reference(r.Subject), Patients, narrows: true),
            Refers<Communication>("part-of", "The task that it belongs to.", r => References(r.PartOf), ["Task"], narrows: true),
            Refers<Communication>("based-on", "The referral that it is about.", r => References(r.BasedOn), ["ServiceRequest"], narrows: true),
            Dates<Communication>("sent", "When it was sent.", r => Date(r.SentElement), sorts: true)),

        Tokens<Patient>("identifier", "An identifier of the patient, such as the NHS number.", r => ElementValues.Tokens(r.Identifier), narrows: true),
        Dates<Patient>("birthdate", "The date of birth.", r => Date(r.BirthDateElement), narrows: true),
        Texts<Patient>("family", "The start of a family name.", r => r.Name.SelectMany(name => Text(name.Family))),
        Texts<Patient>("given", "The start of a given name.", r => r.Name.SelectMany(name => name.Given.SelectMany(Text))),
        .. NewIn(
            3,
            Tokens<Patient>("gender", "The administrative gender.", r => Token(r.Gender)),
            Refers<Patient>("general-practitioner", "The GP practice.", r => References(r.GeneralPractitioner), ["Organization", .. Clinicians]),
            Refers<Patient>("organization", "The clinic that keeps the record.", r => Reference(r.ManagingOrganization), ["Organization"])),

        .. NewIn(
            3,
            Refers<Provenance>("target", "What it tells the origin of.", r => References(r.Target), [.. Reasons, "Patient", "Encounter", "Composition", "DocumentReference", "ServiceRequest", "Task", "Consent", "Media"], narrows: true),
            Refers<Provenance>("patient", "The patient among what it tells the origin of.", r => Only("Patient", References(r.Target)), Patients, narrows: true),
            Refers<Provenance>("agent", "Who took part.", r => References(r.Agent.Select(each => each.Who)), People),
            Dates<Provenance>("recorded", "When it was recorded.", r => Date(r.RecordedElement), sorts: true),

            Tokens<Media>("identifier", "An identifier of the picture.", r => ElementValues.Tokens(r.Identifier), narrows: true),
            Refers<Media>("patient", "The patient shown.", r => Reference(r.Subject), Patients, narrows: true),
            Refers<Media>("subject", "The patient shown.", r => Reference(r.Subject), Patients, narrows: true),
            Refers<Media>("encounter", "The visit it was taken at.", r => Reference(r.Encounter), Visits, narrows: true),
            Dates<Media>("created", "When it was taken.", r => Date(r.Created), sorts: true),
            Tokens<Media>("status", "Its status.", r => Token(r.Status)),
            Tokens<Media>("laterality", "The ear it shows.", r => Sides(Site(r.BodySite))),

            Tokens<Consent>("identifier", "An identifier of the statement.", r => ElementValues.Tokens(r.Identifier), narrows: true),
            Refers<Consent>("patient", "Whose agreement or refusal it is.", r => Reference(r.Patient), Patients, narrows: true),
            Dates<Consent>("date", "When it was given.", r => Date(r.DateTimeElement), sorts: true),
            Tokens<Consent>("status", "Its status.", r => Token(r.Status)),
            Tokens<Consent>("scope", "Its scope.", r => Token(r.Scope)),
            Tokens<Consent>("category", "Its category.", r => ElementValues.Tokens(r.Category)),

            Tokens<Organization>("identifier", "An identifier, such as the ODS code.", r => ElementValues.Tokens(r.Identifier), narrows: true),
            Texts<Organization>("name", "The start of its name.", r => Text(r.Name)),
            Tokens<Practitioner>("identifier", "An identifier, such as a registration number.", r => ElementValues.Tokens(r.Identifier), narrows: true),
            Tokens<PractitionerRole>("identifier", "An identifier of the role.", r => ElementValues.Tokens(r.Identifier), narrows: true),
            Refers<PractitionerRole>("practitioner", "Who has it.", r => Reference(r.Practitioner), ["Practitioner"], narrows: true),
            Refers<PractitionerRole>("organization", "Where.", r => Reference(r.Organization), ["Organization"], narrows: true),
            Tokens<PractitionerRole>("role", "Which.", r => ElementValues.Tokens(r.Code))),

        .. new[] { "Composition", "Condition", "Consent", "DocumentReference", "Encounter", "Media", "Observation", "Organization", "Patient", "Practitioner", "PractitionerRole", "Procedure", "Provenance", "ServiceRequest", "Task" }
            .SelectMany(OfEveryType),
    ];

    /// <summary>Types that can be searched.</summary>
    public static IReadOnlyList<string> Resources { get; } = [.. All.Select(row => row.Resource).Distinct()];

    private static ILookup<string, SearchParameter> ByResource { get; } = All.ToLookup(row => row.Resource);

    /// <summary>The parameters of a type; none for a type that is not searched.</summary>
    public static IEnumerable<SearchParameter> Of(string resource) => ByResource[resource];

    /// <summary>One parameter, or null when the type has none of that name.</summary>
    public static SearchParameter? Find(string resource, string name) => Of(resource).FirstOrDefault(row => row.Name == name);

    private static IEnumerable<SearchParameter> OfEveryType(string type) =>
    [
        new(type, "_id", SearchParameterKind.Token, "The id of the resource.", _ => []) { Narrows = true, IsColumn = true },
        new(type, "_lastUpdated", SearchParameterKind.Date, "When the current version was stored.", _ => []) { Narrows = true, IsColumn = true },
        new(type, "_profile", SearchParameterKind.Uri, "A profile that it claims.", r => (r.Meta?.Profile ?? []).SelectMany(Uri)) { Since = 3 },
        new(type, "_security", SearchParameterKind.Token, "A security label.", r => (r.Meta?.Security ?? []).SelectMany(Token)) { Since = 3 },
        new(type, "_tag", SearchParameterKind.Token, "A tag.", r => (r.Meta?.Tag ?? []).SelectMany(Token)) { Since = 3 },
    ];

    private static IEnumerable<SearchParameter> NewIn(int version, params IEnumerable<SearchParameter> rows) => rows.Select(row => row with { Since = version });

    private static IEnumerable<Composition.SectionComponent> Sections(IEnumerable<Composition.SectionComponent> sections) =>
        sections.SelectMany(section => Sections(section.Section).Prepend(section));

    private static IEnumerable<CodeableConcept> Site(CodeableConcept? site) => site is null ? [] : [site];

    /// <summary>The lateralised structure and, where given, the side alone.</summary>
    private static IEnumerable<IndexValue> Sides(IEnumerable<CodeableConcept> sites) => sites.SelectMany(site => ElementValues.Tokens(
        [site, .. site.GetExtensions(Laterality).Select(extension => extension.Value).OfType<CodeableConcept>()]));

    private static SearchParameter Tokens<T>(string name, string documentation, Func<T, IEnumerable<IndexValue>> values, bool narrows = false)
        where T : Resource => Row(name, SearchParameterKind.Token, documentation, values, narrows, sorts: false);

    private static SearchParameter Refers<T>(
        string name, string documentation, Func<T, IEnumerable<IndexValue>> values, IReadOnlyList<string> targets, bool narrows = false)
        where T : Resource => Row(name, SearchParameterKind.Reference, documentation, values, narrows, sorts: false) with { Targets = targets };

    private static SearchParameter Dates<T>(
        string name, string documentation, Func<T, IEnumerable<IndexValue>> values, bool narrows = false, bool sorts = false)
        where T : Resource => Row(name, SearchParameterKind.Date, documentation, values, narrows, sorts);

    private static SearchParameter Texts<T>(string name, string documentation, Func<T, IEnumerable<IndexValue>> values)
        where T : Resource => Row(name, SearchParameterKind.Text, documentation, values, narrows: false, sorts: false);

    private static SearchParameter Row<T>(
        string name,
        SearchParameterKind kind,
        string documentation,
        Func<T, IEnumerable<IndexValue>> values,
        bool narrows,
        bool sorts)
        where T : Resource => new(typeof(T).Name, name, kind, documentation, resource => values((T)resource))
        {
            Narrows = narrows,
            Sorts = sorts,
        };
}
