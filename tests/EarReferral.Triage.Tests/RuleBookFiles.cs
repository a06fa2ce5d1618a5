using EarReferral.Testing;
using EarReferral.Triage.Rules;

namespace EarReferral.Triage.Tests;

/// <summary>The committed rule files, and the same with one of them changed.</summary>
internal static class RuleBookFiles
{
    public static RuleBook Book { get; } = RuleBook.Load(Read());

    /// <summary>The expressions of the derived variables of the committed files.</summary>
    public static IReadOnlyDictionary<string, string> Definitions { get; } = ReadDefinitions();

    public static List<(string Name, byte[] Content)> Read() =>
        [.. Directory.EnumerateFiles(Repository.At("profiles", "rules"), "*.json").Select(path => (Path.GetFileName(path), File.ReadAllBytes(path)))];

    public static List<(string Name, byte[] Content)> With(string name, string old, string replacement)
    {
        var files = Read();
        var index = files.FindIndex(file => file.Name == name);
        var text = System.Text.Encoding.UTF8.GetString(files[index].Content);
        Assert.Contains(old, text, StringComparison.Ordinal);
        files[index] = (name, System.Text.Encoding.UTF8.GetBytes(text.Replace(old, replacement, StringComparison.Ordinal)));
        return files;
    }

    private static IReadOnlyDictionary<string, string> ReadDefinitions()
    {
        var reader = new RuleBookReader(Read());
        reader.Read("", withEngine: false);
        return reader.Definitions;
    }
}
