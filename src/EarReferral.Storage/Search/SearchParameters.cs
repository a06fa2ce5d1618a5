using Hl7.Fhir.Model;
using static EarReferral.Storage.Search.ElementValues;

namespace EarReferral.Storage.Search;

/// <summary>Every search parameter that is supported. The index, the query parser and the capability statement read this table.</summary>
/// <remarks>Names, kinds and the elements they read are those of the FHIR R4 search parameter registry; laterality is ours, as profiles/search-parameters defines it.</remarks>
public static class SearchParameters
{
    /// <summary>Raise this when a row changes; stored resources are then indexed anew at the next start.</summary>
    internal const int IndexVersion = 3;

    private const string Laterality = "https://ear-referral.example/fhir/StructureDefinition/laterality";

    /// <summary>All rows.</summary>
    public static IReadOnlyList<SearchParameter> All { get; } =
    [
        Tokens<Procedure>("identifier", "An identifier of the procedure.", r => ElementValues.Tokens(r.Identifier), narrows: true),
        Refers<Procedure>("patient", "The patient treated.", r => Reference(r.Subject), narrows: true),
        Refers<Procedure>("subject", "The patient treated.", r => Reference(r.Subject), narrows: true),
        Refers<Procedure>("encounter", "The visit it was done at.", r => Reference(r.Encounter), narrows: true),
        Refers<Procedure>("performer", "Who did it.", r => References(r.Performer.Select(each => each.Actor))),
        Dates<Procedure>("date", "When it was done.", r => Date(r.Performed), sorts: true),
        Tokens<Procedure>("code", "What was done.", r => Token(r.Code)),
        Tokens<Procedure>("status", "Its status, such as completed or not-done.", r => Token(r.Status)),
        Tokens<Procedure>("category", "Its category.", r => Token(r.Category)),
        Tokens<Procedure>("laterality", "The ear it was done to.", r => Sides(r.BodySite)),

        Tokens<Encounter>("identifier", "An identifier of the visit, such as the clinic's own number.", r => ElementValues.Tokens(r.Identifier), narrows: true),
        Refers<Encounter>("patient", "The patient seen.", r => Reference(r.Subject), narrows: true),
        Refers<Encounter>("subject", "The patient seen.", r => Reference(r.Subject), narrows: true),
        Refers<Encounter>("service-provider", "The clinic.", r => Reference(r.ServiceProvider)),
        Dates<Encounter>("date", "When the visit was.", r => Date(r.Period), sorts: true),
        Tokens<Encounter>("status", "Its status.", r => Token(r.Status)),
        Tokens<Encounter>("class", "Its class.", r => Token(r.Class)),

        Tokens<Observation>("identifier", "An identifier of the finding.", r => ElementValues.Tokens(r.Identifier), narrows: true),
        Refers<Observation>("patient", "The patient examined.", r => Reference(r.Subject), narrows: true),
        Refers<Observation>("subject", "The patient examined.", r => Reference(r.Subject), narrows: true),
        Refers<Observation>("encounter", "The visit it was made at.", r => Reference(r.Encounter), narrows: true),
        Refers<Observation>("part-of", "The procedure it belongs to.", r => References(r.PartOf), narrows: true),
        Dates<Observation>("date", "When it was true.", r => Date(r.Effective), sorts: true),
        Tokens<Observation>("code", "Which finding.", r => Token(r.Code)),
        Tokens<Observation>("category", "Its category.", r => ElementValues.Tokens(r.Category)),
        Tokens<Observation>("status", "Its status.", r => Token(r.Status)),
        Tokens<Observation>("laterality", "The ear it is about.", r => Sides(Site(r.BodySite))),

        Tokens<Condition>("identifier", "An identifier of the problem.", r => ElementValues.Tokens(r.Identifier), narrows: true),
        Refers<Condition>("patient", "The patient who has it.", r => Reference(r.Subject), narrows: true),
        Refers<Condition>("subject", "The patient who has it.", r => Reference(r.Subject), narrows: true),
        Refers<Condition>("encounter", "The visit it was found at.", r => Reference(r.Encounter), narrows: true),
        Dates<Condition>("recorded-date", "When it was recorded.", r => Date(r.RecordedDateElement), sorts: true),
        Tokens<Condition>("code", "Which problem.", r => Token(r.Code)),
        Tokens<Condition>("clinical-status", "Its clinical status.", r => Token(r.ClinicalStatus)),
        Tokens<Condition>("body-site", "The ear.", r => ElementValues.Tokens(r.BodySite)),
        Tokens<Condition>("laterality", "The ear it is about.", r => Sides(r.BodySite)),

        Tokens<Composition>("identifier", "The identifier of the summary.", r => Token(r.Identifier), narrows: true),
        Refers<Composition>("patient", "The patient it is about.", r => Reference(r.Subject), narrows: true),
        Refers<Composition>("subject", "The patient it is about.", r => Reference(r.Subject), narrows: true),
        Refers<Composition>("encounter", "The visit it sums up.", r => Reference(r.Encounter), narrows: true),
        Refers<Composition>("entry", "A resource that one of its sections lists.", r => References(Sections(r.Section).SelectMany(each => each.Entry)), narrows: true),
        Dates<Composition>("date", "When it was written.", r => Date(r.DateElement), sorts: true),
        Tokens<Composition>("type", "Its type.", r => Token(r.Type)),
        Tokens<Composition>("status", "Its status, such as final or amended.", r => Token(r.Status)),

        Tokens<ServiceRequest>("identifier", "An identifier of the referral.", r => ElementValues.Tokens(r.Identifier), narrows: true),
        Refers<ServiceRequest>("patient", "The patient referred.", r => Reference(r.Subject), narrows: true),
        Refers<ServiceRequest>("subject", "The patient referred.", r => Reference(r.Subject), narrows: true),
        Refers<ServiceRequest>("encounter", "The visit it was decided at.", r => Reference(r.Encounter), narrows: true),
        Dates<ServiceRequest>("authored", "When it was decided.", r => Date(r.AuthoredOnElement), sorts: true),
        Tokens<ServiceRequest>("status", "Its status.", r => Token(r.Status)),
        Tokens<ServiceRequest>("priority", "Its priority.", r => Token(r.Priority)),
        Tokens<ServiceRequest>("intent", "Its intent.", r => Token(r.Intent)),
        Tokens<ServiceRequest>("laterality", "The ear it is about.", r => Sides(r.BodySite)),

        Tokens<Hl7.Fhir.Model.Task>("identifier", "An identifier of the task.", r => ElementValues.Tokens(r.Identifier), narrows: true),
        Refers<Hl7.Fhir.Model.Task>("patient", "The patient it is for.", r => Reference(r.For), narrows: true),
        Refers<Hl7.Fhir.Model.Task>("focus", "The referral it is about.", r => Reference(r.Focus), narrows: true),
        Refers<Hl7.Fhir.Model.Task>("owner", "Who has to act.", r => Reference(r.Owner)),
        Refers<Hl7.Fhir.Model.Task>("requester", "Who asked.", r => Reference(r.Requester)),
        Dates<Hl7.Fhir.Model.Task>("modified", "When it was last changed.", r => Date(r.LastModifiedElement), sorts: true),
        Tokens<Hl7.Fhir.Model.Task>("status", "Its status.", r => Token(r.Status)),
        Tokens<Hl7.Fhir.Model.Task>("business-status", "Its business status.", r => Token(r.BusinessStatus)),

        Tokens<Communication>("identifier", "An identifier of the message.", r => ElementValues.Tokens(r.Identifier), narrows: true),
        Refers<Communication>("patient", "The patient it is about.", r => Reference(r.Subject), narrows: true),
        Refers<Communication>("subject", "The patient it is about.", r => Reference(r.Subject), narrows: true),
        Refers<Communication>("part-of", "The task that it belongs to.", r => References(r.PartOf), narrows: true),
        Refers<Communication>("based-on", "The referral that it is about.", r => References(r.BasedOn), narrows: true),
        Dates<Communication>("sent", "When it was sent.", r => Date(r.SentElement), sorts: true),

        Tokens<Patient>("identifier", "An identifier of the patient, such as the NHS number.", r => ElementValues.Tokens(r.Identifier), narrows: true),
        Dates<Patient>("birthdate", "The date of birth.", r => Date(r.BirthDateElement), narrows: true),
        Texts<Patient>("family", "The start of a family name.", r => r.Name.SelectMany(name => Text(name.Family))),
        Texts<Patient>("given", "The start of a given name.", r => r.Name.SelectMany(name => name.Given.SelectMany(Text))),
    ];

    /// <summary>Types that can be searched.</summary>
    public static IReadOnlyList<string> Resources { get; } = [.. All.Select(row => row.Resource).Distinct()];

    private static ILookup<string, SearchParameter> ByResource { get; } = All.ToLookup(row => row.Resource);

    /// <summary>The parameters of a type; none for a type that is not searched.</summary>
    public static IEnumerable<SearchParameter> Of(string resource) => ByResource[resource];

    /// <summary>One parameter, or null when the type has none of that name.</summary>
    public static SearchParameter? Find(string resource, string name) => Of(resource).FirstOrDefault(row => row.Name == name);

    private static IEnumerable<Composition.SectionComponent> Sections(IEnumerable<Composition.SectionComponent> sections) =>
        sections.SelectMany(section => Sections(section.Section).Prepend(section));

    private static IEnumerable<CodeableConcept> Site(CodeableConcept? site) => site is null ? [] : [site];

    /// <summary>The lateralised structure and, where given, the side alone.</summary>
    private static IEnumerable<IndexValue> Sides(IEnumerable<CodeableConcept> sites) => sites.SelectMany(site => ElementValues.Tokens(
        [site, .. site.GetExtensions(Laterality).Select(extension => extension.Value).OfType<CodeableConcept>()]));

    private static SearchParameter Tokens<T>(string name, string documentation, Func<T, IEnumerable<IndexValue>> values, bool narrows = false)
        where T : Resource => Row(name, SearchParameterKind.Token, documentation, values, narrows, sorts: false);

    private static SearchParameter Refers<T>(string name, string documentation, Func<T, IEnumerable<IndexValue>> values, bool narrows = false)
        where T : Resource => Row(name, SearchParameterKind.Reference, documentation, values, narrows, sorts: false);

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
