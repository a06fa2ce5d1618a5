using System.Xml.Linq;
using EarReferral.Testing;

namespace EarReferral.Architecture.Tests;

public sealed class ProjectReferenceTests
{
    /// <summary>The picture in docs/architecture.md, as a table: a project and all it may use.</summary>
    private static readonly Dictionary<string, string[]> Allowed = new()
    {
        ["Encounters"] = [],
        ["Triage"] = [],
        ["Mapping"] = ["Encounters", "Triage"],
        ["Referrals"] = [],
        ["Summary"] = [],
        ["Validation"] = [],
        ["Storage"] = [],
        ["Delivery"] = ["Referrals", "Storage"],
        ["Gateway"] = ["Delivery", "Encounters", "Mapping", "Referrals", "Storage", "Summary", "Triage", "Validation"],
        ["Sandbox"] = [],
    };

    private static readonly string[] Core = ["Encounters", "Triage", "Mapping", "Referrals", "Summary", "Validation"];

    public static TheoryData<string> Projects() => [.. Allowed.Keys];

    [Fact]
    public void SourceFolder_HoldsExactlyTheProjectsOfThePicture()
    {
        var found = Directory.GetDirectories(Repository.At("src")).Select(folder => Path.GetFileName(folder)!.Replace("EarReferral.", "", StringComparison.Ordinal));

        Assert.Equal(Allowed.Keys.Order(), found.Order());
    }

    [Theory]
    [MemberData(nameof(Projects))]
    public void Project_ReferencesExactlyWhatThePictureAllows(string project)
    {
        // A reference for build order only compiles against nothing.
        var references = ProjectFile(project).Descendants("ProjectReference")
            .Where(reference => reference.Attribute("ReferenceOutputAssembly")?.Value != "false")
            .Select(reference => Path.GetFileNameWithoutExtension(reference.Attribute("Include")!.Value).Replace("EarReferral.", "", StringComparison.Ordinal));

        Assert.Equal(Allowed[project].Order(), references.Order());
    }

    [Theory]
    [InlineData("Microsoft.EntityFrameworkCore")]
    [InlineData("Npgsql")]
    [InlineData("Polly")]
    [InlineData("Microsoft.AspNetCore")]
    [InlineData("Microsoft.Extensions.Http")]
    public void CoreProject_UsesNoPackageThatReachesOutside(string package)
    {
        foreach (var project in Core)
        {
            var packages = ProjectFile(project).Descendants("PackageReference").Select(reference => reference.Attribute("Include")!.Value);
            Assert.DoesNotContain(packages, name => name.StartsWith(package, StringComparison.Ordinal));
        }
    }

    [Fact]
    public void EveryProject_SaysWhatItIsFor()
    {
        foreach (var project in Allowed.Keys)
        {
            Assert.False(string.IsNullOrWhiteSpace(ProjectFile(project).Descendants("Description").SingleOrDefault()?.Value), $"{project} has no Description.");
        }
    }

    private static XDocument ProjectFile(string project) =>
        XDocument.Load(Repository.At("src", $"EarReferral.{project}", $"EarReferral.{project}.csproj"));
}
