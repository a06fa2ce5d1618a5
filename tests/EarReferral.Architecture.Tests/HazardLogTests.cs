using System.Text.RegularExpressions;
using EarReferral.Testing;

namespace EarReferral.Architecture.Tests;

/// <summary>Holds the hazard log to the tests that it names. Shape of a row: DCB0129 hazard log (id, cause, effect, harm, controls, ratings before and after).</summary>
public sealed partial class HazardLogTests
{
    private static readonly string Log = File.ReadAllText(Repository.At("docs", "safety", "hazard-log.md"));

    public static TheoryData<string> Hazards() => [.. Sections().Select(section => section.Id)];

    [Theory]
    [MemberData(nameof(Hazards))]
    public void Hazard_HasCauseEffectHarmControlsRatings_AndTestsThatExist(string id)
    {
        var section = Sections().Single(each => each.Id == id).Text;

        Assert.All(["**Cause**", "**Effect**", "**Harm**", "**Controls**", "**Shown by**", "**Rating**"], part => Assert.Contains(part, section, StringComparison.Ordinal));
        Assert.Matches(@"\*\*Rating\*\* (minor|significant|considerable|major|catastrophic) / (very low|low|medium|high|very high): [1-5], with controls (minor|significant|considerable|major|catastrophic) / (very low|low|medium|high|very high): [1-5]\.", section);
        var named = Named().Matches(section);
        Assert.NotEmpty(named);
        Assert.All(named, test => Assert.True(Exists(test.Groups["project"].Value, test.Groups["class"].Value, test.Groups["method"].Value), $"{id} names {test.Value}, and there is no such test."));
    }

    /// <summary>A rating follows from severity and likelihood by the matrix of the safety file.</summary>
    [Theory]
    [MemberData(nameof(Hazards))]
    public void Rating_IsThatOfTheMatrix(string id)
    {
        string[] severities = ["minor", "significant", "considerable", "major", "catastrophic"];
        var matrix = File.ReadLines(Repository.At("docs", "safety", "README.md"))
            .Select(line => line.Trim('|', ' ').Split('|', StringSplitOptions.TrimEntries))
            .Where(cells => cells.Length == 6 && cells[1].Length == 1)
            .ToDictionary(cells => cells[0], cells => cells[1..], StringComparer.Ordinal);
        var rated = Rated().Matches(Sections().Single(each => each.Id == id).Text);

        Assert.Equal(5, matrix.Count);
        Assert.Equal(2, rated.Count);
        Assert.All(rated, rating => Assert.Equal(matrix[rating.Groups["likelihood"].Value][Array.IndexOf(severities, rating.Groups["severity"].Value)], rating.Groups["rating"].Value));
    }

    /// <summary>The starter list has nineteen hazards; losing one must be a decision.</summary>
    [Fact]
    public void NoHazardWasLost() => Assert.Equal(Enumerable.Range(1, 19).Select(number => $"H{number:00}"), Sections().Select(section => section.Id));

    private static List<(string Id, string Text)> Sections() =>
        [.. Log.Split("\n## ").Skip(1).Select(text => (text[..3], text))];

    private static bool Exists(string project, string type, string method) =>
        Directory.EnumerateFiles(Repository.At("tests", $"EarReferral.{project}.Tests"), "*.cs", SearchOption.AllDirectories)
            .Where(file => !file.Contains("node_modules", StringComparison.Ordinal) && !file.Contains($"{Path.DirectorySeparatorChar}obj{Path.DirectorySeparatorChar}", StringComparison.Ordinal))
            .Select(File.ReadAllText)
            .Any(text => Regex.IsMatch(text, $@"class {type}\b") && Regex.IsMatch(text, $@"public (async )?[\w.]+ {method}\("));

    [GeneratedRegex(@"`(?<project>\w+)/(?<class>\w+)\.(?<method>\w+)`")]
    private static partial Regex Named();

    [GeneratedRegex(@"(?<severity>minor|significant|considerable|major|catastrophic) / (?<likelihood>very low|low|medium|high|very high): (?<rating>[1-5])")]
    private static partial Regex Rated();
}
