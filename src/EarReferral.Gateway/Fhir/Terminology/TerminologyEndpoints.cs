using EarReferral.Gateway.Configuration;
using Hl7.Fhir.Model;
using Microsoft.Extensions.Options;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir.Terminology;

/// <summary>Read, search and the terminology operations on our own definitions.</summary>
internal static class TerminologyEndpoints
{
    /// <summary>Operations, each at type level with <c>url</c> and at instance level.</summary>
    public static readonly IReadOnlyList<(string Type, string Name)> Operations = [("CodeSystem", "validate-code"), ("ValueSet", "expand"), ("ConceptMap", "translate")];

    /// <summary>Maps the addresses; being literal they come before those of the store.</summary>
    public static void MapTerminology(this IEndpointRouteBuilder fhir)
    {
        foreach (var type in Definitions.Types)
        {
            fhir.MapGet($"/{type}", (HttpContext context, Definitions definitions, IOptions<GatewayOptions> gateway) =>
                    DefinitionSearch.Answer(type, Pairs(context.Request.Query), definitions, gateway))
                .WithSummary($"Search the {type} resources that this gateway is built on.");
            fhir.MapPost($"/{type}/_search", async (HttpContext context, Definitions definitions, IOptions<GatewayOptions> gateway) => context.Request.HasFormContentType
                    ? DefinitionSearch.Answer(type, [.. Pairs(context.Request.Query), .. Pairs(await context.Request.ReadFormAsync(context.RequestAborted))], definitions, gateway)
                    : FhirResult.Error(StatusCodes.Status415UnsupportedMediaType, IssueType.NotSupported, "Send the parameters as application/x-www-form-urlencoded."))
                .WithSummary("The same with the parameters in the body.")
                .DisableAntiforgery();
            fhir.MapMethods($"/{type}/{{id}}", [HttpMethods.Get, HttpMethods.Head], (string id, Definitions definitions) => definitions.ById(type, id) is { } found
                    ? FhirResult.Ok(found)
                    : FhirResult.Error(StatusCodes.Status404NotFound, IssueType.NotFound, $"There is no {type} with this id."))
                .WithSummary($"Read a {type}.");
        }

        foreach (var (type, name) in Operations)
        {
            fhir.MapMethods($"/{type}/${name}", [HttpMethods.Get, HttpMethods.Post], (HttpContext context, Definitions definitions, TimeProvider clock) => AnswerAsync(type, null, context, definitions, clock))
                .WithSummary($"R4 operation {type}/${name}; url names the {type}.");
            fhir.MapMethods($"/{type}/{{id}}/${name}", [HttpMethods.Get, HttpMethods.Post], (string id, HttpContext context, Definitions definitions, TimeProvider clock) => AnswerAsync(type, id, context, definitions, clock))
                .WithSummary($"R4 operation {type}/${name} on one {type}.");
        }
    }

    private static async Task<IResult> AnswerAsync(string type, string? id, HttpContext context, Definitions definitions, TimeProvider clock)
    {
        var request = TerminologyRequest.From(name => context.Request.Query[name].FirstOrDefault());
        if (HttpMethods.IsPost(context.Request.Method))
        {
            using var memory = new MemoryStream();
            await context.Request.Body.CopyToAsync(memory, context.RequestAborted);
            if (FhirJson.Read(memory.ToArray()).Resource is not Parameters parameters)
            {
                return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Invalid, "Send Parameters as application/fhir+json.");
            }

            request = TerminologyRequest.From(parameters);
        }

        if (id is null && request.Url is null)
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Required, $"Say with url which {type} is meant.");
        }

        return Answered(type, id, request, definitions, clock) switch
        {
            TerminologyAnswer.Known known => FhirResult.Ok(known.Resource),
            TerminologyAnswer.Unknown unknown => FhirResult.Error(unknown.Status, unknown.Code, unknown.Sentence),
            var other => throw new InvalidOperationException($"{other.GetType().Name} is no answer."),
        };
    }

    private static TerminologyAnswer Answered(string type, string? id, TerminologyRequest request, Definitions definitions, TimeProvider clock) => type switch
    {
        "CodeSystem" when Of<CodeSystem>(id, request, definitions) is { } list => TerminologyService.ValidateCode(list, request),
        "ValueSet" when Of<ValueSet>(id, request, definitions) is { } set => TerminologyService.Expand(set, request, definitions, clock.GetUtcNow()),
        "ConceptMap" when Of<ConceptMap>(id, request, definitions) is { } map => TerminologyService.Translate(map, request),
        _ => TerminologyService.NotFound($"This {type} is not held here, so nothing was checked."),
    };

    private static TDefinition? Of<TDefinition>(string? id, TerminologyRequest request, Definitions definitions)
        where TDefinition : Resource, IVersionableConformanceResource =>
        id is null ? definitions.ByUrl<TDefinition>(request.Url!) : definitions.ById(typeof(TDefinition).Name, id) as TDefinition;

    private static IEnumerable<KeyValuePair<string, string>> Pairs(IEnumerable<KeyValuePair<string, Microsoft.Extensions.Primitives.StringValues>> values) =>
        values.SelectMany(pair => pair.Value.Select(value => KeyValuePair.Create(pair.Key, value ?? "")));
}
