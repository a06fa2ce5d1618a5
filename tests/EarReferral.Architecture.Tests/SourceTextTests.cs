using System.Text.RegularExpressions;
using EarReferral.Testing;

namespace EarReferral.Architecture.Tests;

public sealed partial class SourceTextTests
{
    [Fact]
    public void SnomedCodes_StandOnlyInTheCodeTables()
    {
        // Triage, Validation and Summary may not see Mapping; each has one file with the codes that its declared variables, bundle rules and drawings need.
        string[] tables = ["/EarReferral.Mapping/Codes/", "/EarReferral.Triage/Rules/RuleVocabulary.cs", "/EarReferral.Validation/BundleRules/EarSide.cs", "/EarReferral.Summary/Findings/FindingCodes.cs"];
        var offenders = Sources()
            .Where(file => !tables.Any(table => file.Contains(table, StringComparison.Ordinal)))
            .Where(file => SnomedLiteral().IsMatch(File.ReadAllText(file)));

        Assert.Empty(offenders);
    }

    [Fact]
    public void LogMessages_AreSourceGenerated()
    {
        var offenders = Sources()
            .Where(file => Path.GetFileName(file) != "Log.cs")
            .Where(file => DirectLogCall().IsMatch(File.ReadAllText(file)));

        Assert.Empty(offenders);
    }

    [Fact]
    public void NothingIsLeftOpenInTheTree()
    {
        var offenders = Sources().Where(file => OpenEnd().IsMatch(File.ReadAllText(file)));

        Assert.Empty(offenders);
    }

    [Fact]
    public void SourceFiles_StayReadable()
    {
        var sizes = Sources().Select(file => File.ReadLines(file).Count()).Order().ToList();
        var tooLong = Sources().Where(file => File.ReadLines(file).Count() > 400);

        Assert.InRange(sizes[sizes.Count / 2], 15, 95);
        Assert.Empty(tooLong);
    }

    [Fact]
    public void NamesThatSayNothing_AreNotUsed()
    {
        var offenders = Sources().Select(file => Path.GetFileNameWithoutExtension(file)!)
            .Where(name => EmptyName().IsMatch(name));

        Assert.Empty(offenders);
    }

    private static IEnumerable<string> Sources() => Directory
        .EnumerateFiles(Repository.At("src"), "*.cs", SearchOption.AllDirectories)
        .Select(file => file.Replace('\\', '/'))
        .Where(file => !file.Contains("/obj/", StringComparison.Ordinal) && !file.Contains("/bin/", StringComparison.Ordinal) && !file.Contains("/Migrations/", StringComparison.Ordinal));

    [GeneratedRegex("""
        "\d{6,18}"
        """)]
    private static partial Regex SnomedLiteral();

    [GeneratedRegex(@"\.Log(Trace|Debug|Information|Warning|Error|Critical)\(")]
    private static partial Regex DirectLogCall();

    [GeneratedRegex(@"\b(TODO|FIXME|HACK|NotImplementedException)\b")]
    private static partial Regex OpenEnd();

    [GeneratedRegex("(Manager|Helper|Helpers|Utils|Util|Common)$")]
    private static partial Regex EmptyName();
}
