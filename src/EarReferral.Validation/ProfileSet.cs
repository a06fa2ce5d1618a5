using EarReferral.Validation.Engine;
using Hl7.Fhir.Model;

namespace EarReferral.Validation;

/// <summary>The definitions that a validator judges by: our profiles and code lists, and the R4 definitions they rest on.</summary>
public sealed class ProfileSet
{
    /// <summary>Canonical base of our own definitions.</summary>
    public const string CanonicalBase = "https://ear-referral.example/fhir";

    private readonly Dictionary<string, StructureDefinition> _profiles;
    private readonly Dictionary<(string Profile, string ElementPath), string[]> _targets;

    private ProfileSet(IReadOnlyList<Resource> definitions)
    {
        Definitions = definitions;
        _profiles = definitions.OfType<StructureDefinition>()
            .Where(definition => definition.Url!.StartsWith(CanonicalBase + "/", StringComparison.Ordinal))
            .ToDictionary(definition => definition.Url!, StringComparer.Ordinal);
        _targets = _profiles.Values
            .SelectMany(profile => profile.Snapshot!.Element.Select(element => (Key: (profile.Url!, element.Path!), Targets: element.Type.SelectMany(type => type.TargetProfile).OfType<string>())))
            .GroupBy(element => element.Key, element => element.Targets)
            .ToDictionary(element => element.Key, element => element.SelectMany(targets => targets).Distinct(StringComparer.Ordinal).ToArray());
    }

    /// <summary>All definitions, ours and R4's.</summary>
    public IReadOnlyList<Resource> Definitions { get; }

    /// <summary>Our own profiles and extensions, each with its snapshot.</summary>
    public IReadOnlyCollection<StructureDefinition> Profiles => _profiles.Values;

    /// <summary>Reads definitions from files; <c>.json</c> holds one resource, <c>.ndjson</c> one per line, <c>.gz</c> is unpacked.</summary>
    /// <exception cref="InvalidDataException">A file is not what its name says, a canonical URL comes twice, or a StructureDefinition has no snapshot.</exception>
    public static ProfileSet Load(IEnumerable<(string Name, byte[] Content)> files)
    {
        ArgumentNullException.ThrowIfNull(files);
        var definitions = files.SelectMany(file => DefinitionFile.Read(file.Name, file.Content)).ToList();
        var structures = definitions.OfType<StructureDefinition>().ToList();
        if (structures.FirstOrDefault(definition => definition.Url is null || !definition.HasSnapshot) is { } incomplete)
        {
            throw new InvalidDataException($"StructureDefinition {incomplete.Url ?? incomplete.Id} has no URL or no snapshot.");
        }

        // One canonical URL, one definition: otherwise the order of the files would decide what is valid.
        if (definitions.OfType<IConformanceResource>().Where(definition => definition.Url is not null).GroupBy(definition => definition.Url!).FirstOrDefault(group => group.Skip(1).Any()) is { } twice)
        {
            throw new InvalidDataException($"{twice.Key} is defined twice.");
        }

        return new ProfileSet(definitions);
    }

    /// <summary>The definitions that were built into this assembly.</summary>
    public static ProfileSet Embedded() => Load(EmbeddedFiles());

    /// <summary>Our profile with this canonical URL, or null.</summary>
    internal StructureDefinition? Find(string url) => _profiles.GetValueOrDefault(url);

    /// <summary>Canonical URLs of what our profile lets a reference lead to at this path; none when it is silent.</summary>
    internal IReadOnlyList<string> Targets(string url, string elementPath) => _targets.GetValueOrDefault((url, elementPath), []);

    private static IEnumerable<(string Name, byte[] Content)> EmbeddedFiles()
    {
        var assembly = typeof(ProfileSet).Assembly;
        foreach (var name in assembly.GetManifestResourceNames().Where(name => name.StartsWith("profiles/", StringComparison.Ordinal)).Order(StringComparer.Ordinal))
        {
            using var stream = assembly.GetManifestResourceStream(name)!;
            using var memory = new MemoryStream();
            stream.CopyTo(memory);
            yield return (name, memory.ToArray());
        }
    }
}
