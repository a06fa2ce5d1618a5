using EarReferral.Triage.Rules;

namespace EarReferral.Gateway.Rules;

/// <summary>Rule sets as folders of files.</summary>
internal static class RuleFolder
{
    /// <summary>The published set that the program was built with.</summary>
    public static string Published => Path.Combine(AppContext.BaseDirectory, "rules");

    /// <summary>
    /// Reads the set that decides. The one that the program was built with is known by its digest and loaded quickly; one that was edited on
    /// site, or has a local policy on it, is checked in full first.
    /// </summary>
    /// <param name="folder">The published set.</param>
    /// <param name="overlay">Folder of the local policy, or null.</param>
    /// <exception cref="InvalidRuleBookException">The set is not sound, or a folder is not there; all faults are named.</exception>
    public static RuleBook LoadForService(string folder, string? overlay) =>
        overlay is null && Directory.Exists(folder) && RuleBook.Digest(Files(folder)) == ShippedRules.Sha256 ? Load(folder) : LoadChecked(folder, overlay);

    /// <summary>Reads and checks the set in a folder, with the local policy of a site on it where there is one.</summary>
    /// <param name="folder">The published set.</param>
    /// <param name="overlay">Folder of the local policy, or null.</param>
    /// <exception cref="InvalidRuleBookException">The set is not sound, or a folder is not there; all faults are named.</exception>
    public static RuleBook Load(string folder, string? overlay = null)
    {
        var missing = Missing(folder, overlay);
        return missing.Count > 0 ? throw new InvalidRuleBookException(missing) : RuleBook.Load(Files(folder), overlay is null ? null : Files(overlay));
    }

    /// <summary>Checks the set in full, then reads it; for a set that nobody has tested yet. Takes seconds.</summary>
    /// <param name="folder">The published set.</param>
    /// <param name="overlay">Folder of the local policy, or null.</param>
    /// <exception cref="InvalidRuleBookException">The set is not sound, or a folder is not there; all faults are named.</exception>
    public static RuleBook LoadChecked(string folder, string? overlay = null)
    {
        var missing = Missing(folder, overlay);
        return missing.Count > 0 ? throw new InvalidRuleBookException(missing)
            : Check(folder, overlay) is { Count: > 0 } problems ? throw new InvalidRuleBookException(problems)
            : Load(folder, overlay);
    }

    /// <summary>Checks the set in full; takes seconds.</summary>
    /// <param name="folder">The published set.</param>
    /// <param name="overlay">Folder of the local policy, or null.</param>
    public static IReadOnlyList<string> Check(string folder, string? overlay) => RuleBook.Check(Files(folder), overlay is null ? null : Files(overlay));

    private static List<string> Missing(string folder, string? overlay) =>
        [.. new[] { folder, overlay }.OfType<string>().Where(each => !Directory.Exists(each)).Select(each => $"there is no folder {each}")];

    private static IEnumerable<(string Name, byte[] Content)> Files(string folder) => Directory.EnumerateFiles(folder, "*.json")
        .Select(file => (Path.GetFileName(file), File.ReadAllBytes(file)));
}
