using EarReferral.Triage.Rules;

namespace EarReferral.Gateway.Rules;

/// <summary>Rule sets as folders of files.</summary>
internal static class RuleFolder
{
    /// <summary>The published set that the program was built with.</summary>
    public static string Published => Path.Combine(AppContext.BaseDirectory, "rules");

    /// <summary>Reads and checks the set in a folder, with the local policy of a site on it where there is one.</summary>
    /// <param name="folder">The published set.</param>
    /// <param name="overlay">Folder of the local policy, or null.</param>
    /// <exception cref="InvalidRuleBookException">The set is not sound, or a folder is not there; all faults are named.</exception>
    public static RuleBook Load(string folder, string? overlay = null)
    {
        List<string> missing = [.. new[] { folder, overlay }.OfType<string>().Where(each => !Directory.Exists(each)).Select(each => $"there is no folder {each}")];
        return missing.Count > 0 ? throw new InvalidRuleBookException(missing) : RuleBook.Load(Files(folder), overlay is null ? null : Files(overlay));
    }

    /// <summary>Checks the set in full, then reads it; for a set that nobody has tested yet. Takes seconds.</summary>
    /// <param name="folder">The published set.</param>
    /// <param name="overlay">Folder of the local policy, or null.</param>
    /// <exception cref="InvalidRuleBookException">The set is not sound, or a folder is not there; all faults are named.</exception>
    public static RuleBook LoadChecked(string folder, string? overlay = null)
    {
        var book = Load(folder, overlay);
        return Check(folder, overlay) is { Count: > 0 } problems ? throw new InvalidRuleBookException(problems) : book;
    }

    /// <summary>Checks the set in full; takes seconds.</summary>
    /// <param name="folder">The published set.</param>
    /// <param name="overlay">Folder of the local policy, or null.</param>
    public static IReadOnlyList<string> Check(string folder, string? overlay) => RuleBook.Check(Files(folder), overlay is null ? null : Files(overlay));

    private static IEnumerable<(string Name, byte[] Content)> Files(string folder) => Directory.EnumerateFiles(folder, "*.json")
        .Select(file => (Path.GetFileName(file), File.ReadAllBytes(file)));
}
