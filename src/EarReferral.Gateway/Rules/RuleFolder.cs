using EarReferral.Triage.Rules;

namespace EarReferral.Gateway.Rules;

/// <summary>Rule sets as folders of files.</summary>
internal static class RuleFolder
{
    /// <summary>Reads and checks the set in a folder.</summary>
    /// <exception cref="InvalidRuleBookException">The set is not sound; all faults are named.</exception>
    public static RuleBook Load(string folder) => RuleBook.Load(Directory.EnumerateFiles(folder, "*.json")
        .Select(file => (Path.GetFileName(file), File.ReadAllBytes(file))));
}
