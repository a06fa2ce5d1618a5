using EarReferral.Gateway.Fhir.Representations;
using EarReferral.Gateway.Fhir.Terminology;
using EarReferral.Storage.Search;
using Hl7.Fhir.Model;
using Interaction = Hl7.Fhir.Model.CapabilityStatement.TypeRestfulInteraction;
using SearchParameter = EarReferral.Storage.Search.SearchParameter;

namespace EarReferral.Gateway.Fhir;

/// <summary>The CapabilityStatement, derived from the search table and the routes.</summary>
internal static class Capability
{
    private const string Operations = "http://hl7.org/fhir/OperationDefinition/";

    private const string Reading =
        "Search dates without a time zone are read in Europe/London; gt and lt of a day exclude the day itself. A search needs a parameter that narrows it. "
        + "An unknown parameter is ignored and named in an outcome entry, or refused under Prefer: handling=strict; an unknown modifier is always refused. "
        + "Without _sort a result is in the order in which resources were first stored, so pages neither lose nor repeat one that changes meanwhile. "
        + "Result parameters: _count (at most 200), _sort (_lastUpdated or the type's own date), _include, _revinclude (both with :iterate), _total, _summary, _elements, _format, _pretty.";

    /// <summary>Types that are served.</summary>
    public static IReadOnlySet<string> Types { get; } = SearchParameters.Resources.ToHashSet(StringComparer.Ordinal);

    /// <summary>The statement of this server.</summary>
    public static CapabilityStatement Statement(Uri publicBaseUrl) => new()
    {
        Url = "https://ear-referral.example/fhir/CapabilityStatement/gateway",
        Version = "1.0.0",
        Name = "EarReferralGateway",
        Title = "Ear referral gateway",
        Status = PublicationStatus.Active,
        Date = "2026-11-26",
        Kind = CapabilityStatementKind.Instance,
        Software = new CapabilityStatement.SoftwareComponent { Name = "Ear referral gateway", Version = SoftwareVersion.Text },
        Implementation = new CapabilityStatement.ImplementationComponent
        {
            Description = "Ear-care encounters, referrals and GP summaries",
            Url = new Uri(publicBaseUrl, "fhir").ToString(),
        },
        FhirVersion = FHIRVersion.N4_0_1,
        Format = [FhirMediaType.Json, FhirMediaType.Xml, "json", "xml"],
        Rest =
        [
            new CapabilityStatement.RestComponent
            {
                Mode = CapabilityStatement.RestfulCapabilityMode.Server,
                Documentation = Reading,
                Resource = [.. Types.Select(Resource).Concat(Definitions.Types.Select(DefinitionResource)).OrderBy(resource => resource.Type, StringComparer.Ordinal)],
                Interaction =
                [
                    new CapabilityStatement.SystemInteractionComponent { Code = CapabilityStatement.SystemRestfulInteraction.Batch, Documentation = "Reads only, at most 100 entries." },
                ],
                Operation = [Operation("validate", "Resource-validate", "At type level, for every resource type that a profile of ours covers, and for Bundle.")],
                Compartment = [.. Compartment.Owners.Select(owner => $"http://hl7.org/fhir/CompartmentDefinition/{owner.ToLowerInvariant()}")],
            },
        ],
    };

    private static CapabilityStatement.ResourceComponent Resource(string type)
    {
        var parameters = SearchParameters.Of(type).ToList();
        Interaction[] interactions = [Interaction.Read, Interaction.Vread, Interaction.HistoryInstance, Interaction.SearchType, .. type == "Task" ? new[] { Interaction.Update } : []];
        return new CapabilityStatement.ResourceComponent
        {
            Type = type,
            Profile = Profile(type) is { } profile ? $"https://ear-referral.example/fhir/StructureDefinition/{profile}" : null,
            Interaction = [.. interactions.Select(code => new CapabilityStatement.ResourceInteractionComponent { Code = code })],
            Versioning = type == "Task" ? CapabilityStatement.ResourceVersionPolicy.VersionedUpdate : CapabilityStatement.ResourceVersionPolicy.Versioned,
            ReadHistory = true,
            UpdateCreate = false,
            ConditionalRead = CapabilityStatement.ConditionalReadStatus.FullSupport,
            ReferencePolicy = [CapabilityStatement.ReferenceHandlingPolicy.Literal, CapabilityStatement.ReferenceHandlingPolicy.Local],
            SearchInclude = [.. parameters.Where(parameter => parameter.Kind == SearchParameterKind.Reference).Select(parameter => $"{type}:{parameter.Name}")],
            SearchRevInclude = [.. SearchParameters.All.Where(parameter => parameter.Targets.Contains(type)).Select(parameter => $"{parameter.Resource}:{parameter.Name}")],
            SearchParam = [.. parameters.Select(Parameter)],
            Operation = type switch
            {
                "Composition" => [Operation("document", "Composition-document", "Answers the document Bundle itself; neither persist nor graph.")],
                "Patient" or "Encounter" => [Operation("everything", $"{type}-everything", "Paged by _count, or beyond 2000 resources.")],
                _ => [],
            },
        };
    }

    private static CapabilityStatement.SearchParamComponent Parameter(SearchParameter parameter) => new()
    {
        Name = parameter.Name,
        Definition = parameter.Name == "laterality" ? "https://ear-referral.example/fhir/SearchParameter/laterality" : null,
        Type = parameter.Kind switch
        {
            SearchParameterKind.Token => SearchParamType.Token,
            SearchParameterKind.Reference => SearchParamType.Reference,
            SearchParameterKind.Date => SearchParamType.Date,
            SearchParameterKind.Text => SearchParamType.String,
            SearchParameterKind.Uri => SearchParamType.Uri,
        },
        Documentation = parameter.Documentation
            + (parameter.Modifiers.Count > 0 ? $" Modifiers: {string.Join(", ", parameter.Modifiers.Select(modifier => $":{modifier}"))}." : "")
            + (parameter.Chains.Count > 0 ? $" Chain: {parameter.Name}.{parameter.Chains[0]}." : ""),
    };

    // What the gateway itself is built on: read-only, without versions, the same for every caller.
    private static CapabilityStatement.ResourceComponent DefinitionResource(string type) => new()
    {
        Type = type,
        Interaction =
        [
            new CapabilityStatement.ResourceInteractionComponent { Code = Interaction.Read },
            new CapabilityStatement.ResourceInteractionComponent { Code = Interaction.SearchType },
        ],
        Versioning = CapabilityStatement.ResourceVersionPolicy.NoVersion,
        UpdateCreate = false,
        SearchParam = [.. DefinitionSearch.Parameters(type).Select(name => new CapabilityStatement.SearchParamComponent { Name = name, Type = name == "url" ? SearchParamType.Uri : SearchParamType.Token })],
        Operation = [.. TerminologyEndpoints.Operations.Where(operation => operation.Type == type).Select(operation => Operation(operation.Name, $"{type}-{operation.Name}"))],
    };

    private static CapabilityStatement.OperationComponent Operation(string name, string definition, string? documentation = null) =>
        new() { Name = name, Definition = Operations + definition, Documentation = documentation };

    private static string? Profile(string type) => type switch
    {
        "ServiceRequest" => "ear-referral",
        "Task" => "ear-referral-task",
        "PractitionerRole" => "ear-practitioner-role",
        "DocumentReference" => null,
        _ => "ear-" + type.ToLowerInvariant(),
    };
}
