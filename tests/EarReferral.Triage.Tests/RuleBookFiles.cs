using EarReferral.Testing;
using EarReferral.Triage.Rules;

namespace EarReferral.Triage.Tests;

/// <summary>The committed rule files.</summary>
internal static class RuleBookFiles
{
    /// <summary>The rule book as it ships, loaded once.</summary>
    public static RuleBook Book { get; } = RuleBook.Load(Read());

    public static List<(string Name, byte[] Content)> Read() =>
        [.. Directory.EnumerateFiles(Repository.At("profiles", "rules"), "*.json").Select(path => (Path.GetFileName(path), File.ReadAllBytes(path)))];
}
