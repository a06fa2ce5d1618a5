using EarReferral.Encounters.Vocabulary;
using EarReferral.Mapping.Codes;
using EarReferral.Validation;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Gateway.Vocabulary;

/// <summary>Reads the concept maps of one clinic strictly: what could be read in two ways is a fault of the map, found at start and not in a visit.</summary>
/// <param name="clinicId">The clinic.</param>
/// <param name="ruleInputs">Findings that a red-flag rule reads.</param>
internal sealed class VocabularyReader(string clinicId, IReadOnlySet<string> ruleInputs)
{
    private static readonly FhirJsonDeserializer Fhir = new();
    private const string SnomedCt = "http://snomed.info/sct";

    private static readonly string ListBase = $"{CodeSystems.Base}/CodeSystem/";

    private readonly Dictionary<(string System, string Version), Dictionary<string, IReadOnlyDictionary<string, LocalMeaning>>> lists = [];
    private readonly List<ConceptMap> maps = [];
    private readonly List<string> problems = [];

    /// <summary>The maps that could be read.</summary>
    public IReadOnlyList<ConceptMap> Maps => maps;

    /// <summary>Everything that is wrong, each beginning with the file.</summary>
    public IReadOnlyList<string> Problems => problems;

    /// <summary>What was read, one per code system and version.</summary>
    public IEnumerable<ClinicVocabulary> Vocabularies() =>
        lists.Select(pair => new ClinicVocabulary(clinicId, pair.Key.System, pair.Key.Version, pair.Value, ruleInputs));

    /// <summary>Reads one file.</summary>
    public void Take(string file, string json)
    {
        Resource resource;
        try
        {
            resource = Fhir.DeserializeResource(json);
        }
        catch (DeserializationFailedException unreadable)
        {
            problems.Add($"{file}: no FHIR R4 resource ({unreadable.Exceptions.FirstOrDefault()?.Message ?? unreadable.Message}).");
            return;
        }

        if (resource is not ConceptMap map)
        {
            problems.Add($"{file}: a {resource.TypeName}, and a ConceptMap is expected.");
            return;
        }

        var before = problems.Count;
        CheckHead(file, map);
        if (map.Group is not [var group])
        {
            problems.Add($"{file}: exactly one group is expected, from the clinic's code system to one list of the contract; there are {map.Group.Count}.");
            return;
        }

        CheckGroup(file, group);
        if (problems.Count > before)
        {
            return;
        }

        var codes = Codes(file, group, ContractLists.All[group.Target![ListBase.Length..]]);
        if (problems.Count > before)
        {
            return;
        }

        if (!lists.TryGetValue((group.Source!, group.SourceVersion!), out var vocabulary))
        {
            lists[(group.Source!, group.SourceVersion!)] = vocabulary = [];
        }

        if (!vocabulary.TryAdd(group.Target![ListBase.Length..], codes))
        {
            problems.Add($"{file}: another file maps the same version of the code system to {group.Target}.");
            return;
        }

        maps.Add(map);
    }

    private void CheckHead(string file, ConceptMap map)
    {
        Demand(map is { Id: not null, Url: not null, Version: not null }, $"{file}: id, url and version are required.");
        Demand(map.Url?.StartsWith(ProfileSet.CanonicalBase + "/", StringComparison.Ordinal) is not true, $"{file}: url lies among our own definitions.");
        Demand(map.Status == PublicationStatus.Active, $"{file}: status must be active; a draft decides nothing.");
    }

    private void CheckGroup(string file, ConceptMap.GroupComponent group)
    {
        Demand(group is { Source: not null, SourceVersion: not null }, $"{file}: group.source and group.sourceVersion are required; a document names both.");
        Demand(
            group.Source is null || !(group.Source.StartsWith(ProfileSet.CanonicalBase + "/", StringComparison.Ordinal) || group.Source == SnomedCt),
            $"{file}: group.source must be the clinic's own code system.");
        Demand(
            group.Target?.StartsWith(ListBase, StringComparison.Ordinal) is true && ContractLists.All.ContainsKey(group.Target[ListBase.Length..]),
            $"{file}: group.target must be {ListBase} and a list of the contract, such as hearing-change.");
        Demand(group.Unmapped is null, $"{file}: group.unmapped would guess; leave it out.");
        Demand(group.Element.Count > 0, $"{file}: there is no element.");
    }

    private Dictionary<string, LocalMeaning> Codes(string file, ConceptMap.GroupComponent group, IReadOnlyList<string> allowed)
    {
        var codes = new Dictionary<string, LocalMeaning>(StringComparer.Ordinal);
        foreach (var element in group.Element)
        {
            if (element.Code is not { } local || element.Target is not [var target])
            {
                problems.Add($"{file}: {element.Code ?? "an element without code"} needs exactly one target; two would be ambiguous, and a code without counterpart has one marked unmatched.");
                continue;
            }

            Demand(target.DependsOn.Count == 0 && target.Product.Count == 0, $"{file}: {local} depends on more than the code; that is not read here.");
            if (Meaning(target, element.Display) is not { } meaning)
            {
                problems.Add($"{file}: {local} is {target.EquivalenceElement?.JsonValue ?? "without equivalence"}; only equivalent, equal, wider and unmatched say clearly what to do.");
            }
            else if (meaning.Code is null ? target.Code is not null : !allowed.Contains(meaning.Code))
            {
                problems.Add(meaning.Code is null ? $"{file}: {local} is unmatched and yet has a target." : $"{file}: {local} leads to {meaning.Code}, which {group.Target} does not have.");
            }
            else if (!codes.TryAdd(local, meaning))
            {
                problems.Add($"{file}: {local} stands twice.");
            }
        }

        return codes;
    }

    private static LocalMeaning? Meaning(ConceptMap.TargetElementComponent target, string? display) => target.Equivalence switch
    {
        ConceptMapEquivalence.Equivalent or ConceptMapEquivalence.Equal => new LocalMeaning(target.Code ?? "", IsExact: true, display),
        // R4 concept-map-equivalence: the target is wider in meaning than the source.
        ConceptMapEquivalence.Wider => new LocalMeaning(target.Code ?? "", IsExact: false, display),
        ConceptMapEquivalence.Unmatched => new LocalMeaning(null, IsExact: true, display),
        _ => null,
    };

    private void Demand(bool holds, string problem)
    {
        if (!holds)
        {
            problems.Add(problem);
        }
    }
}
