using System.Security.Cryptography;
using System.Text;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.LocalPolicies;

namespace EarReferral.Triage.Rules;

/// <summary>A checked set of rules with the variables they use; immutable, safe to share between threads.</summary>
public sealed class RuleBook
{
    /// <summary>Name of the file that orders the rules and declares the variables.</summary>
    public const string IndexFile = "rule-book.json";

    /// <summary>Name of the file in which a site says what it decides otherwise.</summary>
    public const string OverlayFile = "overlay.json";

    /// <summary>The variable that may silence suppressible rules; every rule book declares it.</summary>
    public const string AlreadyInvestigated = "earlierCareAlreadyInvestigatedUnchanged";

    internal RuleBook(RuleBookVersion version, IReadOnlyDictionary<string, Variable> variables, IReadOnlyList<CompiledRule> rules, int leafCount)
    {
        Version = version;
        Variables = variables;
        CompiledRules = rules;
        Rules = [.. rules.Select(compiled => compiled.Rule)];
        LeafCount = leafCount;
        PatientVariables = [.. variables.Values.Where(variable => variable.Level is not (VariableLevel.Ear or VariableLevel.OtherEar))];
    }

    /// <summary>Version and content hash, named in every decision.</summary>
    public RuleBookVersion Version { get; }

    /// <summary>All variables by name.</summary>
    public IReadOnlyDictionary<string, Variable> Variables { get; }

    /// <summary>All rules in the order of the index file.</summary>
    public IReadOnlyList<Rule> Rules { get; }

    /// <summary>What the local policy of a site changed, one sentence per rule, removed rules among them; empty without a policy.</summary>
    public IReadOnlyList<string> LocalChanges { get; internal init; } = [];

    /// <summary>The rule files as they decide, with the local policy written into them, sorted by name.</summary>
    public IReadOnlyList<(string Name, byte[] Content)> Files { get; internal init; } = [];

    internal IReadOnlyList<CompiledRule> CompiledRules { get; }

    internal int LeafCount { get; }

    internal IReadOnlyList<Variable> PatientVariables { get; }

    /// <summary>Reads and checks a rule set: the index file and one PlanDefinition per rule.</summary>
    /// <param name="files">File names without folder, with their bytes.</param>
    /// <param name="overlay">Files of the local policy of a site, if it has one: <see cref="OverlayFile"/> and the rules that it adds.</param>
    /// <exception cref="InvalidRuleBookException">Anything at all is wrong: a rule book decides only when all of it is sound.</exception>
    public static RuleBook Load(IEnumerable<(string Name, byte[] Content)> files, IEnumerable<(string Name, byte[] Content)>? overlay = null)
    {
        var (book, problems, _) = Read(files, overlay, withEngine: false);
        return book ?? throw new InvalidRuleBookException(problems);
    }

    /// <summary>
    /// Checks a rule set in full: everything that <see cref="Load"/> checks, and what it leaves out because it takes seconds. Every file is read
    /// as FHIR R4, the published expression of every variable is compiled, and every part of every condition is evaluated by the FHIRPath library.
    /// </summary>
    /// <param name="files">File names without folder, with their bytes.</param>
    /// <param name="overlay">Files of a local policy, as for <see cref="Load"/>.</param>
    /// <returns>What is wrong, each naming its file; empty for a sound rule set.</returns>
    public static IReadOnlyList<string> Check(IEnumerable<(string Name, byte[] Content)> files, IEnumerable<(string Name, byte[] Content)>? overlay = null)
    {
        var (_, problems, decide) = Read(files, overlay, withEngine: true);
        return [.. PublicationCheck.Run(decide), .. problems];
    }

    /// <summary>The digest that a set of published files has as <see cref="RuleBookVersion.Sha256"/>, sound or not.</summary>
    /// <param name="files">File names without folder, with their bytes.</param>
    public static string Digest(IEnumerable<(string Name, byte[] Content)> files) => Hash(Sorted(files));

    private static (RuleBook? Book, IReadOnlyList<string> Problems, IReadOnlyList<(string Name, byte[] Content)> Files) Read(
        IEnumerable<(string Name, byte[] Content)> files, IEnumerable<(string Name, byte[] Content)>? overlay, bool withEngine)
    {
        var published = Sorted(files);
        if (overlay is null)
        {
            var (book, problems) = new RuleBookReader(published).Read(Hash(published), withEngine);
            return (book, problems, published);
        }

        var policy = Sorted(overlay);
        return LocalRuleSet.Read(published, policy, Hash([.. published, .. policy.Select(file => ($"overlay/{file.Name}", file.Content))]), withEngine);
    }

    private static List<(string Name, byte[] Content)> Sorted(IEnumerable<(string Name, byte[] Content)> files) =>
        [.. files.OrderBy(file => file.Name, StringComparer.Ordinal)];

    private static string Hash(IReadOnlyList<(string Name, byte[] Content)> files)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        foreach (var (name, content) in files)
        {
            // Each file enters as name, zero byte and its own hash, so that no shift of bytes between files goes unseen.
            hash.AppendData(Encoding.UTF8.GetBytes(name + '\0'));
            hash.AppendData(SHA256.HashData(content));
        }

        return Convert.ToHexStringLower(hash.GetHashAndReset());
    }
}
