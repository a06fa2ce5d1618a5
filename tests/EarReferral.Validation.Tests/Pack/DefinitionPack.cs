using System.IO.Compression;
using System.Text;
using EarReferral.Testing;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;
using Hl7.Fhir.Specification.Snapshot;
using Hl7.Fhir.Specification.Source;

namespace EarReferral.Validation.Tests.Pack;

/// <summary>Builds what profiles/pack holds: the R4 definitions that our profiles rest on, and our profiles with snapshots.</summary>
/// <remarks>
/// The closure starts at the differentials and follows base definitions, element types, type profiles and the value sets of
/// required and extensible bindings with their code systems; what is only the target of a reference comes with its root element alone. Narrative, mappings, comments and the like are dropped, and of R4's definitions the explanations too: no check reads them.
/// </remarks>
internal static class DefinitionPack
{
    private static readonly FhirJsonSerializer Writer = new();

    // A list this long is never small enough to be a binding of ours; what rests on it is reported as not expandable.
    private const int LargestCodeSystem = 3000;

    // The bundle itself, what stands in for its entries, and the HL7 extensions that are sent; no profile of ours names them.
    private static readonly string[] BesidesProfiles =
    [
        "http://hl7.org/fhir/StructureDefinition/Bundle",
        "http://hl7.org/fhir/StructureDefinition/Parameters",
        "http://hl7.org/fhir/StructureDefinition/data-absent-reason",
        "http://hl7.org/fhir/StructureDefinition/patient-interpreterRequired",
    ];

    public static IReadOnlyList<StructureDefinition> Authored() =>
    [
        .. Directory.EnumerateFiles(Repository.At("profiles", "structure-definitions"), "*.json").Order(StringComparer.Ordinal)
            .Select(file => (StructureDefinition)new FhirJsonDeserializer().DeserializeResource(File.ReadAllText(file))),
    ];

    /// <summary>The R4 definitions, ordered by URL.</summary>
    public static IReadOnlyList<Resource> BaseDefinitions(SpecificationArchive archive, IReadOnlyList<StructureDefinition> authored)
    {
        var found = new SortedDictionary<string, Resource>(StringComparer.Ordinal);
        var open = new Queue<string>(authored.SelectMany(definition => Needs(definition, definition.Differential!.Element))
            .Concat(BesidesProfiles));
        while (open.TryDequeue(out var url))
        {
            if (found.ContainsKey(url) || archive.Find(url) is not { } definition)
            {
                continue;
            }

            if (definition is CodeSystem { Concept.Count: > LargestCodeSystem })
            {
                continue;
            }

            found.Add(url, definition);
            foreach (var next in definition switch
            {
                StructureDefinition structure => Needs(structure, structure.Snapshot!.Element),
                ValueSet valueSet => Needs(valueSet),
                _ => [],
            })
            {
                open.Enqueue(next);
            }
        }

        // The engine's compiler asks for what a reference may lead to but never looks inside, because no reference is followed.
        var targets = found.Values.OfType<StructureDefinition>().SelectMany(definition => definition.Snapshot!.Element)
            .SelectMany(element => element.Type).SelectMany(type => type.TargetProfile).OfType<string>()
            .Where(url => !found.ContainsKey(url)).Distinct().Order(StringComparer.Ordinal)
            .Select(archive.Find).OfType<StructureDefinition>().Select(RootOnly);
        return [.. found.Values.Concat(targets).Select(Reduced)];
    }

    /// <summary>Our definitions with snapshots made from <paramref name="baseDefinitions"/>.</summary>
    public static async Task<IReadOnlyList<Resource>> WithSnapshots(IReadOnlyList<StructureDefinition> authored, IReadOnlyList<Resource> baseDefinitions)
    {
        var resolver = new CachedResolver(new InMemoryResourceResolver(baseDefinitions.Concat(authored)));
        var generator = new SnapshotGenerator(resolver, SnapshotGeneratorSettings.CreateDefault());
        var made = new List<Resource>();
        foreach (var definition in authored.Where(definition => !definition.HasSnapshot))
        {
            await generator.UpdateAsync(definition);
            if (generator.Outcome is { } outcome)
            {
                throw new InvalidDataException($"{definition.Url}: {string.Join("; ", outcome.Issue.Select(issue => issue.Details?.Text))}");
            }
        }

        made.AddRange(authored.Select(Reduced));
        return made;
    }

    /// <summary>A copy without what only explains: R4's own definitions are judged by and never served. Snapshots of ours are made before and keep it.</summary>
    public static Resource WithoutExplanations(Resource definition)
    {
        var reduced = (Resource)definition.DeepCopy();
        switch (reduced)
        {
            case StructureDefinition structure:
                foreach (var element in structure.Snapshot!.Element)
                {
                    element.Definition = null;
                    element.Short = null;
                    element.IsModifierReason = null;
                }

                break;
            case CodeSystem system:
                foreach (var concept in Flat(system.Concept))
                {
                    concept.Definition = null;
                    concept.Designation.Clear();
                }

                break;
        }

        return reduced;
    }

    public static string ToNdjson(IEnumerable<Resource> resources) =>
        string.Concat(resources.Select(resource => Writer.SerializeToString(resource) + "\n"));

    public static byte[] Pack(string ndjson)
    {
        using var memory = new MemoryStream();
        using (var gzip = new GZipStream(memory, CompressionLevel.SmallestSize))
        {
            gzip.Write(Encoding.UTF8.GetBytes(ndjson));
        }

        return memory.ToArray();
    }

    public static string Unpack(byte[] packed)
    {
        using var gzip = new GZipStream(new MemoryStream(packed), CompressionMode.Decompress);
        using var reader = new StreamReader(gzip, Encoding.UTF8);
        return reader.ReadToEnd();
    }

    private static IEnumerable<string> Needs(StructureDefinition definition, IEnumerable<ElementDefinition> elements) =>
        elements
            .SelectMany(element => element.Type
                .SelectMany(type => type.Profile.Append(TypeUrl(type.Code!)))
                .Append(element.Binding?.Strength is BindingStrength.Required or BindingStrength.Extensible ? element.Binding.ValueSet : null))
            .Append(definition.BaseDefinition)
            .OfType<string>()
            .Select(WithoutVersion);

    private static IEnumerable<string> Needs(ValueSet valueSet) =>
        (valueSet.Compose?.Include ?? []).Concat(valueSet.Compose?.Exclude ?? [])
            .SelectMany(include => include.ValueSet.Append(include.System)).OfType<string>().Select(WithoutVersion);

    private static string TypeUrl(string code) =>
        code.StartsWith("http://hl7.org/fhirpath/", StringComparison.Ordinal) ? code : $"http://hl7.org/fhir/StructureDefinition/{code}";

    private static string WithoutVersion(string canonical) => canonical.Split('|')[0];

    private static StructureDefinition RootOnly(StructureDefinition definition)
    {
        var root = (StructureDefinition)definition.DeepCopy();
        root.Snapshot!.Element.RemoveRange(1, root.Snapshot.Element.Count - 1);
        return root;
    }

    private static IEnumerable<CodeSystem.ConceptDefinitionComponent> Flat(IEnumerable<CodeSystem.ConceptDefinitionComponent> concepts) =>
        concepts.SelectMany(concept => Flat(concept.Concept).Prepend(concept));

    private static Resource Reduced(Resource definition)
    {
        var copy = (DomainResource)definition.DeepCopy();
        copy.Text = null;
        copy.Meta = null;
        copy.Extension.Clear();
        if (copy is StructureDefinition structure)
        {
            structure.Mapping.Clear();
            structure.Contact.Clear();
            structure.Differential = null;
            foreach (var element in structure.Snapshot!.Element)
            {
                element.Comment = null;
                element.Requirements = null;
                element.MeaningWhenMissing = null;
                element.AliasElement.Clear();
                element.Mapping.Clear();
                element.Example.Clear();
                element.Code.Clear();
            }
        }

        return copy;
    }
}
