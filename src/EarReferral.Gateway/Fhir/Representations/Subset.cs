using Hl7.Fhir.Introspection;
using Hl7.Fhir.Model;

namespace EarReferral.Gateway.Fhir.Representations;

/// <summary>The part of a resource that <c>_summary</c> or <c>_elements</c> asks for; mandatory and modifier elements always stay, since without them the rest could be misread.</summary>
/// <param name="Summary">Value of <c>_summary</c>; null when not asked.</param>
/// <param name="Elements">Names of <c>_elements</c>; empty when not asked.</param>
internal sealed record Subset(string? Summary, IReadOnlyList<string> Elements)
{
    private static readonly Coding Mark = new("http://terminology.hl7.org/CodeSystem/v3-ObservationValue", "SUBSETTED", "subsetted");

    /// <summary>True when the total alone is asked for.</summary>
    public bool IsCount => Summary == "count";

    /// <summary>What the parameters ask for, and the sentence for the caller when that is nothing FHIR knows.</summary>
    public static (Subset Subset, string? Problem) Of(IReadOnlyList<KeyValuePair<string, string>> parameters)
    {
        var summary = parameters.Where(pair => pair.Key == "_summary" && pair.Value.Length > 0).Select(pair => pair.Value).FirstOrDefault();
        var elements = parameters.Where(pair => pair.Key == "_elements").SelectMany(pair => pair.Value.Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries)).ToList();
        return (new Subset(summary == "false" ? null : summary, elements), summary switch
        {
            not (null or "true" or "false" or "text" or "data" or "count") => "_summary is true, false, text, data or count.",
            not (null or "false") when elements.Count > 0 => "_summary and _elements cannot be combined.",
            _ => null,
        });
    }

    /// <summary>True when nothing is left out.</summary>
    public bool IsWhole => (Summary is null or "count") && Elements.Count == 0;

    /// <summary>The part of the resource, marked as one; the resource is changed.</summary>
    public Resource Apply(Resource resource)
    {
        if (IsWhole)
        {
            return resource;
        }

        switch (Summary)
        {
            case "true":
                Keep(resource, property => property.InSummary, nested: true);
                break;
            case "text":
                Keep(resource, property => property.Name == "text", nested: false);
                break;
            case "data":
                Keep(resource, property => property.Name != "text", nested: false);
                break;
            default:
                Keep(resource, property => Elements.Contains(property.Name, StringComparer.Ordinal), nested: false);
                break;
        }

        resource.Meta ??= new Meta();
        resource.Meta.Tag.Add((Coding)Mark.DeepCopy());
        return resource;
    }

    private static void Keep(Base element, Func<PropertyMapping, bool> isAsked, bool nested)
    {
        foreach (var property in ModelInfo.ModelInspector.FindOrImportClassMapping(element.GetType())!.PropertyMappings)
        {
            if (property.Name is not ("id" or "meta") && !property.IsMandatoryElement && !property.IsModifier && !isAsked(property))
            {
                element.SetValue(property.Name, null);
            }
            else if (nested && element.TryGetValue(property.Name, out var value))
            {
                foreach (var part in (value as IEnumerable<object> ?? [value!]).OfType<BackboneElement>())
                {
                    Keep(part, isAsked, nested);
                }
            }
        }
    }
}
