using System.Collections.Frozen;
using Hl7.Fhir.Model;

namespace EarReferral.Validation.Engine;

/// <summary>The codes of one value set that can be read off its definition, so that an ordinary code needs no terminology service.</summary>
/// <remarks>
/// A part of the value set and never more: what is abstract or retired is left out, and a code that is not found has to be put before
/// the service. So finding a code settles it; not finding it settles nothing. A value set of which any part is filtered, excluded or
/// drawn from a list that is not here has no list at all: the service may say that it cannot check it, and then so must we.
/// </remarks>
internal sealed class ListedCodes
{
    // Properties that make a code doubtful as an answer; which of their values do is for the service to say.
    private static readonly HashSet<string> Doubtful = new(["status", "inactive", "deprecated", "deprecationDate", "retired", "retirementDate", "notSelectable", "abstract"], StringComparer.Ordinal);

    private readonly FrozenDictionary<(string System, string Code), string?> _displays;
    private readonly FrozenSet<string> _codes;

    private ListedCodes(Dictionary<(string System, string Code), string?> displays)
    {
        _displays = displays.ToFrozenDictionary();
        _codes = displays.Keys.Select(key => key.Code).ToFrozenSet(StringComparer.Ordinal);
    }

    /// <summary>The codes of every value set among the definitions, by canonical URL without version.</summary>
    public static IReadOnlyDictionary<string, ListedCodes> Of(IReadOnlyList<Resource> definitions)
    {
        var systems = definitions.OfType<CodeSystem>()
            .Where(system => system is { Content: CodeSystemContentMode.Complete, Url: not null })
            .ToDictionary(system => system.Url!, StringComparer.Ordinal);
        return definitions.OfType<ValueSet>()
            .Where(valueSet => valueSet is { Url: not null, Compose.Exclude.Count: 0 } && valueSet.Compose.Include.TrueForAll(include => IsReadable(include, systems)))
            .ToDictionary(valueSet => valueSet.Url!, valueSet => Of(valueSet, systems), StringComparer.Ordinal);
    }

    /// <summary>Whether the element is certain to hold a code of the list. False also means: not known.</summary>
    public bool Hold(Base element) => element switch
    {
        Coding coding => Hold(coding),
        CodeableConcept { Coding: [var only] } => Hold(only),
        PrimitiveType { TypeName: "code", JsonValue: string code } => _codes.Contains(code),
        _ => false,
    };

    private bool Hold(Coding coding) =>
        coding is { System: { } system, Code: { } code, Version: null }
        && _displays.TryGetValue((system, code), out var display)
        && (coding.Display is null || coding.Display == display);

    private static ListedCodes Of(ValueSet valueSet, Dictionary<string, CodeSystem> systems)
    {
        var displays = new Dictionary<(string System, string Code), string?>();
        foreach (var include in valueSet.Compose!.Include)
        {
            var known = systems.TryGetValue(include.System!, out var system)
                ? Flat(system.Concept).Where(IsBeyondDoubt).ToDictionary(concept => concept.Code!, concept => concept.Display, StringComparer.Ordinal)
                : null;
            if (include.Concept.Count == 0)
            {
                foreach (var (code, display) in known ?? [])
                {
                    displays.TryAdd((include.System!, code), display);
                }
            }
            else
            {
                foreach (var concept in include.Concept.Where(concept => known is null || known.ContainsKey(concept.Code!)))
                {
                    displays.TryAdd((include.System!, concept.Code!), concept.Display ?? known?[concept.Code!]);
                }
            }
        }

        return new ListedCodes(displays);
    }

    private static bool IsReadable(ValueSet.ConceptSetComponent include, Dictionary<string, CodeSystem> systems) =>
        include is { System: { } system, Version: null, Filter.Count: 0 } && !include.ValueSet.Any() && (include.Concept.Count > 0 || systems.ContainsKey(system));

    private static IEnumerable<CodeSystem.ConceptDefinitionComponent> Flat(IEnumerable<CodeSystem.ConceptDefinitionComponent> concepts) =>
        concepts.SelectMany(concept => Flat(concept.Concept).Prepend(concept));

    private static bool IsBeyondDoubt(CodeSystem.ConceptDefinitionComponent concept) =>
        concept.Code is not null && !concept.Property.Exists(property => property.Code is { } code && Doubtful.Contains(code));
}
