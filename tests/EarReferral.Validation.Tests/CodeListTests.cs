using System.Text.RegularExpressions;
using EarReferral.Testing;
using Hl7.Fhir.Model;

namespace EarReferral.Validation.Tests;

/// <summary>Our code lists say the same as the contract model; the model's source text is read because this project may not reference it.</summary>
public sealed partial class CodeListTests
{
    private static readonly ProfileSet Profiles = ProfileSet.Embedded();

    // Reasons why there is no value; they become dataAbsentReason and are no codes.
    private static readonly string[] Absences = ["NotAsked", "NotSeen", "NotDone", "NotChecked", "NotKnown", "NotAssessed"];

    [Fact]
    public void EveryListOfTheContract_HasTheMembersOfItsEnum()
    {
        var enums = Directory.EnumerateFiles(Repository.At("src", "EarReferral.Encounters"), "*.cs")
            .SelectMany(file => EnumSource().Matches(File.ReadAllText(file)))
            .ToDictionary(match => Kebab(match.Groups["name"].Value), match => match.Groups["members"].Value.Split(',', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries), StringComparer.Ordinal);
        var lists = Own<CodeSystem>().Where(list => enums.ContainsKey(list.Id!)).ToList();

        Assert.True(lists.Count > 40);
        Assert.All(lists, list => Assert.Equal(
            enums[list.Id!].Where(member => list.Id == "gp-practice-absent-reason" || !Absences.Contains(member)).Select(Kebab),
            list.Concept.Select(concept => concept.Code!)));
    }

    [Fact]
    public void EveryCode_IsThereOnceAndCounted() =>
        Assert.All(Own<CodeSystem>(), list =>
        {
            Assert.Equal(list.Count, list.Concept.Count);
            Assert.Equal(list.Concept.Count, list.Concept.Select(concept => concept.Code).Distinct().Count());
            Assert.Equal(CodeSystemContentMode.Complete, list.Content);
        });

    [Fact]
    public void FindingList_HasEveryRecordItemOfTheMapping()
    {
        var source = File.ReadAllText(Repository.At("src", "EarReferral.Mapping", "Codes", "LocalCodes.cs"));
        var items = ItemSource().Matches(source).Select(match => match.Groups["code"].Value).ToList();
        var codes = Own<CodeSystem>().Single(list => list.Id == "finding").Concept.Select(concept => concept.Code!).ToHashSet(StringComparer.Ordinal);

        Assert.True(items.Count > 30);
        Assert.All(items, item => Assert.Contains(item, codes));
    }

    [Fact]
    public void EveryRequiredBindingOfOurs_CanBeExpandedOffline()
    {
        var valueSets = Own<ValueSet>().ToDictionary(set => set.Url!, StringComparer.Ordinal);
        var bound = Profiles.Profiles.SelectMany(profile => profile.Snapshot!.Element)
            .Where(element => element.Binding is { Strength: BindingStrength.Required, ValueSet: { } url } && url.StartsWith(ProfileSet.CanonicalBase, StringComparison.Ordinal))
            .Select(element => element.Binding!.ValueSet!).Distinct().ToList();
        var complete = Own<CodeSystem>().Select(list => list.Url).ToHashSet(StringComparer.Ordinal);

        Assert.NotEmpty(bound);
        Assert.All(bound, url => Assert.All(valueSets[url].Compose!.Include, include =>
            Assert.True(include.Filter.Count == 0 && (include.Concept.Count > 0 || complete.Contains(include.System)))));
    }

    private static IEnumerable<TResource> Own<TResource>()
        where TResource : Resource, IConformanceResource => Profiles.Definitions.OfType<TResource>().Where(one => one.Url!.StartsWith(ProfileSet.CanonicalBase, StringComparison.Ordinal));

    private static string Kebab(string pascal) => CapitalInside().Replace(pascal, "-$0").ToLowerInvariant();

    [GeneratedRegex(@"public enum (?<name>\w+)\s*\{(?<members>[^}]*)\}", RegexOptions.CultureInvariant)]
    private static partial Regex EnumSource();

    [GeneratedRegex("""Item\("(?<code>[^"]+)",""", RegexOptions.CultureInvariant)]
    private static partial Regex ItemSource();

    [GeneratedRegex("(?<!^)[A-Z]", RegexOptions.CultureInvariant)]
    private static partial Regex CapitalInside();
}
