using EarReferral.Gateway.Fhir.Terminology;
using EarReferral.Storage.Search;
using Hl7.Fhir.Model;

namespace EarReferral.Gateway.Fhir;

/// <summary>The CapabilityStatement, derived from the search table and the routes.</summary>
internal static class Capability
{
    /// <summary>Types that are served although nothing searches them yet.</summary>
    private static readonly string[] ReadOnlyTypes = ["Consent", "Media", "Organization", "Practitioner", "PractitionerRole", "Provenance"];

    /// <summary>Types that are served.</summary>
    public static IReadOnlySet<string> Types { get; } =
        SearchParameters.All.Select(parameter => parameter.Resource).Concat(ReadOnlyTypes).ToHashSet(StringComparer.Ordinal);

    /// <summary>The statement of this server.</summary>
    public static CapabilityStatement Statement(Uri publicBaseUrl) => new()
    {
        Url = "https://ear-referral.example/fhir/CapabilityStatement/gateway",
        Version = "1.0.0",
        Name = "EarReferralGateway",
        Title = "Ear referral gateway",
        Status = PublicationStatus.Active,
        Date = "2026-11-25",
        Kind = CapabilityStatementKind.Instance,
        Implementation = new CapabilityStatement.ImplementationComponent
        {
            Description = "Ear-care encounters, referrals and GP summaries",
            Url = new Uri(publicBaseUrl, "fhir").ToString(),
        },
        FhirVersion = FHIRVersion.N4_0_1,
        Format = ["application/fhir+json"],
        Rest =
        [
            new CapabilityStatement.RestComponent
            {
                Mode = CapabilityStatement.RestfulCapabilityMode.Server,
                Documentation = "Search dates without a time are read in Europe/London. A search needs a parameter that narrows it.",
                Resource = [.. Types.Select(Resource).Concat(Definitions.Types.Select(DefinitionResource)).OrderBy(resource => resource.Type, StringComparer.Ordinal)],
                Operation = [new CapabilityStatement.OperationComponent { Name = "validate", Definition = "http://hl7.org/fhir/OperationDefinition/Resource-validate", Documentation = "At type level, for every resource type that a profile of ours covers, and for Bundle." }],
            },
        ],
    };

    private static CapabilityStatement.ResourceComponent Resource(string type)
    {
        var parameters = SearchParameters.All.Where(parameter => parameter.Resource == type).ToList();
        var interactions = new List<CapabilityStatement.TypeRestfulInteraction> { CapabilityStatement.TypeRestfulInteraction.Read, CapabilityStatement.TypeRestfulInteraction.Vread };
        if (parameters.Count > 0)
        {
            interactions.Add(CapabilityStatement.TypeRestfulInteraction.SearchType);
        }

        if (type == "Task")
        {
            interactions.Add(CapabilityStatement.TypeRestfulInteraction.Update);
        }

        return new CapabilityStatement.ResourceComponent
        {
            Type = type,
            Profile = Profile(type) is { } profile ? $"https://ear-referral.example/fhir/StructureDefinition/{profile}" : null,
            Interaction = [.. interactions.Select(code => new CapabilityStatement.ResourceInteractionComponent { Code = code })],
            Versioning = CapabilityStatement.ResourceVersionPolicy.Versioned,
            UpdateCreate = false,
            ConditionalRead = CapabilityStatement.ConditionalReadStatus.NotMatch,
            SearchParam = [.. parameters.Select(parameter => new CapabilityStatement.SearchParamComponent
            {
                Name = parameter.Name,
                Definition = parameter.Name == "laterality" ? "https://ear-referral.example/fhir/SearchParameter/laterality" : null,
                Type = parameter.Kind switch
                {
                    SearchParameterKind.Token => SearchParamType.Token,
                    SearchParameterKind.Reference => SearchParamType.Reference,
                    SearchParameterKind.Date => SearchParamType.Date,
                    SearchParameterKind.Text => SearchParamType.String,
                },
                Documentation = parameter.Documentation,
            })],
            Operation = type == "Composition"
                ? [new CapabilityStatement.OperationComponent { Name = "document", Definition = "http://hl7.org/fhir/OperationDefinition/Composition-document" }]
                : [],
        };
    }

    // What the gateway itself is built on: read-only, without versions, the same for every caller.
    private static CapabilityStatement.ResourceComponent DefinitionResource(string type) => new()
    {
        Type = type,
        Interaction =
        [
            new CapabilityStatement.ResourceInteractionComponent { Code = CapabilityStatement.TypeRestfulInteraction.Read },
            new CapabilityStatement.ResourceInteractionComponent { Code = CapabilityStatement.TypeRestfulInteraction.SearchType },
        ],
        Versioning = CapabilityStatement.ResourceVersionPolicy.NoVersion,
        UpdateCreate = false,
        SearchParam = [.. DefinitionSearch.Parameters(type).Select(name => new CapabilityStatement.SearchParamComponent { Name = name, Type = name == "url" ? SearchParamType.Uri : SearchParamType.Token })],
        Operation = [.. TerminologyEndpoints.Operations.Where(operation => operation.Type == type).Select(operation => new CapabilityStatement.OperationComponent { Name = operation.Name, Definition = $"http://hl7.org/fhir/OperationDefinition/{type}-{operation.Name}" })],
    };

    private static string? Profile(string type) => type switch
    {
        "ServiceRequest" => "ear-referral",
        "Task" => "ear-referral-task",
        "PractitionerRole" => "ear-practitioner-role",
        _ => "ear-" + type.ToLowerInvariant(),
    };
}
