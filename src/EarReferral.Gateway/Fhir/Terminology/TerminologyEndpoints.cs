using Hl7.Fhir.Model;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir.Terminology;

/// <summary>The terminology operations on our own definitions.</summary>
internal static class TerminologyEndpoints
{
    /// <summary>Operations, each at type level with <c>url</c> and at instance level.</summary>
    public static readonly IReadOnlyList<(string Type, string Name)> Operations = [("CodeSystem", "validate-code"), ("ValueSet", "expand"), ("ConceptMap", "translate")];

    /// <summary>Their patterns below the root.</summary>
    public static readonly IReadOnlySet<string> Patterns = Operations.SelectMany(each => new[] { $"/fhir/{each.Type}/${each.Name}", $"/fhir/{each.Type}/{{id}}/${each.Name}" }).ToHashSet(StringComparer.Ordinal);

    /// <summary>Maps the addresses; being literal they come before those of the store.</summary>
    public static void MapTerminology(this IEndpointRouteBuilder fhir)
    {
        foreach (var (type, name) in Operations)
        {
            fhir.MapMethods($"/{type}/${name}", [HttpMethods.Get, HttpMethods.Head, HttpMethods.Post], (HttpContext context, Definitions definitions, TimeProvider clock) => AnswerAsync(type, null, context, definitions, clock))
                .WithSummary($"R4 operation {type}/${name}; url names the {type}.");
            fhir.MapMethods($"/{type}/{{id}}/${name}", [HttpMethods.Get, HttpMethods.Head, HttpMethods.Post], (string id, HttpContext context, Definitions definitions, TimeProvider clock) => AnswerAsync(type, id, context, definitions, clock))
                .WithSummary($"R4 operation {type}/${name} on one {type}.");
        }
    }

    private static async Task<IResult> AnswerAsync(string type, string? id, HttpContext context, Definitions definitions, TimeProvider clock)
    {
        var request = TerminologyRequest.From(name => context.Request.Query[name].FirstOrDefault());
        if (HttpMethods.IsPost(context.Request.Method))
        {
            var (parameters, refusal) = await FhirBody.ReadAsync<Parameters>(context);
            if (parameters is null)
            {
                return refusal ?? FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Required, "Send Parameters in the body.");
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
}
