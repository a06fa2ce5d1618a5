using Hl7.Fhir.Model;

namespace EarReferral.Validation;

/// <summary>The definitions that a validator judges by: our profiles and code lists, and the R4 definitions they rest on.</summary>
public sealed class ProfileSet
{
    private ProfileSet(IReadOnlyList<Resource> definitions) => Definitions = definitions;

    /// <summary>Canonical base of our own definitions.</summary>
    public const string CanonicalBase = "https://ear-referral.example/fhir";

    /// <summary>All definitions, ours and R4's.</summary>
    public IReadOnlyList<Resource> Definitions { get; }

    /// <summary>Reads definitions from files; <c>.json</c> holds one resource, <c>.ndjson</c> one per line, <c>.gz</c> is unpacked.</summary>
    /// <exception cref="InvalidDataException">A file is not what its name says, or a StructureDefinition has no snapshot.</exception>
    public static ProfileSet Load(IEnumerable<(string Name, byte[] Content)> files)
    {
        ArgumentNullException.ThrowIfNull(files);
        return new ProfileSet([.. files.SelectMany(file => DefinitionFile.Read(file.Name, file.Content))]);
    }

    /// <summary>The definitions that were built into this assembly.</summary>
    public static ProfileSet Embedded() => Load(EmbeddedFiles());

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
