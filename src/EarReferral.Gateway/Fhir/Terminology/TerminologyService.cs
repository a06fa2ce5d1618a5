using System.Globalization;
using Hl7.Fhir.Model;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir.Terminology;

/// <summary>What a terminology operation answers: parameters or a resource, or why it could not answer.</summary>
internal abstract record TerminologyAnswer
{
    private TerminologyAnswer()
    {
    }

    public sealed record Known(Resource Resource) : TerminologyAnswer;

    public sealed record Unknown(int Status, IssueType Code, string Sentence) : TerminologyAnswer;

    public static TerminologyAnswer Missing(string sentence) => new Unknown(StatusCodes.Status400BadRequest, IssueType.Required, sentence);
}

/// <summary>The R4 terminology operations on our own code systems, value sets and maps. Nothing is guessed: what is not held here is an error, never a no.</summary>
internal static class TerminologyService
{
    /// <summary>CodeSystem/$validate-code.</summary>
    public static TerminologyAnswer ValidateCode(CodeSystem list, TerminologyRequest request)
    {
        if (request.Code is not { } code)
        {
            return TerminologyAnswer.Missing("Give code, or a coding.");
        }

        if (request.System is { } system && system != list.Url)
        {
            return Result(false, "The coding is of another code system.", null);
        }

        if (request.Version is { } version && version != list.Version)
        {
            return NotFound("This version of the code system is not held here, so the code was not checked.");
        }

        var concept = list.Concept.FirstOrDefault(concept => concept.Code == code);
        var isOtherDisplay = concept is not null && request.Display is { } display && !string.Equals(display, concept.Display, StringComparison.OrdinalIgnoreCase);
        return Result(
            concept is not null && !isOtherDisplay,
            concept is null ? "The code is not in the code system; codes are case-sensitive." : isOtherDisplay ? "The code exists, with another display." : null,
            concept?.Display);
    }

    /// <summary>ValueSet/$expand; refused rather than cut short where the set cannot be listed completely.</summary>
    public static TerminologyAnswer Expand(ValueSet set, TerminologyRequest request, Definitions definitions, DateTimeOffset now)
    {
        var codes = new List<ValueSet.ContainsComponent>();
        foreach (var include in set.Compose?.Include ?? [])
        {
            IEnumerable<(string? Code, string? Display)>? concepts = include.Concept.Count > 0
                ? include.Concept.Select(concept => (concept.Code, concept.Display))
                : include is { Filter.Count: 0, ValueSetElement.Count: 0, System: { } system } ? definitions.ByUrl<CodeSystem>(system)?.Concept.Select(concept => (concept.Code, concept.Display)) : null;
            if (concepts is null || set.Compose!.Exclude.Count > 0)
            {
                return new TerminologyAnswer.Unknown(StatusCodes.Status422UnprocessableEntity, IssueType.NotSupported, "This value set cannot be listed completely here.");
            }

            codes.AddRange(concepts.Select(concept => new ValueSet.ContainsComponent { System = include.System, Code = concept.Code, Display = concept.Display }));
        }

        var matching = codes.Where(code => request.Filter is not { } filter || code.Display?.Contains(filter, StringComparison.OrdinalIgnoreCase) == true).ToList();
        var expanded = (ValueSet)set.DeepCopy();
        expanded.Compose = null;
        expanded.Expansion = new ValueSet.ExpansionComponent
        {
            Identifier = $"urn:uuid:{Guid.CreateVersion7()}",
            TimestampElement = new FhirDateTime(now),
            Total = matching.Count,
            Offset = request.Offset,
            Contains = [.. matching.Skip(request.Offset).Take(request.Count ?? int.MaxValue)],
        };
        return new TerminologyAnswer.Known(expanded);
    }

    /// <summary>ConceptMap/$translate. A target marked unmatched or disjoint is not a match (R4: result is true only when there is one that is neither).</summary>
    public static TerminologyAnswer Translate(ConceptMap map, TerminologyRequest request)
    {
        if (request is not { Code: { } code, System: { } system })
        {
            return TerminologyAnswer.Missing("Give code and system, or a coding.");
        }

        var groups = map.Group.Where(group => group.Source == system && (request.TargetSystem is null || group.Target == request.TargetSystem)).ToList();
        var matches = groups.SelectMany(group => group.Element.Where(element => element.Code == code).SelectMany(element => element.Target)
            .Select(target => (group, target))).ToList();
        var isMatch = matches.Exists(match => match.target.Equivalence is not (ConceptMapEquivalence.Unmatched or ConceptMapEquivalence.Disjoint));
        var answer = new Parameters();
        answer.Add("result", new FhirBoolean(isMatch));
        if (!isMatch)
        {
            answer.Add("message", new FhirString(groups.Count == 0 ? "The map does not translate this code system into that target." : "The map has no target for this code; keep the code as it is."));
        }

        foreach (var (group, target) in matches)
        {
            answer.Add("match",
            [
                Tuple.Create("equivalence", (Base)new Code(Hl7.Fhir.Utility.EnumUtility.GetLiteral(target.Equivalence!.Value))),
                Tuple.Create("concept", (Base)new Coding(group.Target, target.Code, target.Display)),
                Tuple.Create("source", (Base)new FhirUri(map.Url)),
            ]);
        }

        return new TerminologyAnswer.Known(answer);
    }

    /// <summary>The answer where no definition was found to work with.</summary>
    public static TerminologyAnswer NotFound(string sentence) => new TerminologyAnswer.Unknown(StatusCodes.Status404NotFound, IssueType.NotFound, sentence);

    private static TerminologyAnswer.Known Result(bool result, string? message, string? display)
    {
        var answer = new Parameters();
        answer.Add("result", new FhirBoolean(result));
        if (message is not null)
        {
            answer.Add("message", new FhirString(message));
        }

        if (display is not null)
        {
            answer.Add("display", new FhirString(display));
        }

        return new TerminologyAnswer.Known(answer);
    }
}

/// <summary>The inputs of the operations, from the query or from Parameters.</summary>
internal sealed record TerminologyRequest(string? Url, string? Code, string? System, string? Version, string? Display, string? TargetSystem, string? Filter, int Offset, int? Count)
{
    /// <summary>From name and value pairs.</summary>
    public static TerminologyRequest From(Func<string, string?> value) => new(
        Blank(value("url")), Blank(value("code")), Blank(value("system")), Blank(value("version")), Blank(value("display")), Blank(value("targetsystem")), Blank(value("filter")),
        Number(value("offset")) ?? 0, Number(value("count")));

    /// <summary>From R4 Parameters; a coding or the first coding of a concept stands for code and system.</summary>
    public static TerminologyRequest From(Parameters parameters)
    {
        var plain = From(name => parameters.GetSingle(name)?.Value?.ToString());
        var coding = parameters.GetSingle("coding")?.Value as Coding ?? (parameters.GetSingle("codeableConcept")?.Value as CodeableConcept)?.Coding.FirstOrDefault();
        return coding is null ? plain : plain with { Code = coding.Code, System = coding.System, Version = coding.Version ?? plain.Version, Display = coding.Display ?? plain.Display };
    }

    private static string? Blank(string? text) => string.IsNullOrWhiteSpace(text) ? null : text;

    private static int? Number(string? text) => int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? number : null;
}
