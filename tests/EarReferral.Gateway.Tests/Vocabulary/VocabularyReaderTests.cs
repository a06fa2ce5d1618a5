using System.Text.Json.Nodes;
using EarReferral.Encounters.Vocabulary;
using EarReferral.Gateway.CommandLine;
using EarReferral.Gateway.Rules;
using EarReferral.Gateway.Vocabulary;
using EarReferral.Testing;
using EarReferral.Validation;
using Hl7.Fhir.Model;
using Microsoft.Extensions.Options;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Gateway.Tests.Vocabulary;

/// <summary>What could be read in two ways is found at start.</summary>
public sealed class VocabularyReaderTests
{
    [Fact]
    public void ExampleMaps_AreSound()
    {
        var reader = new VocabularyReader("harbour-lane", new HashSet<string>());
        foreach (var file in Directory.EnumerateFiles(Repository.At("examples", "vocabulary", "harbour-lane")))
        {
            reader.Take(Path.GetFileName(file), File.ReadAllText(file));
        }

        Assert.Empty(reader.Problems);
        var vocabulary = Assert.Single(reader.Vocabularies());
        Assert.Equal(["drum-appearance", "ear-side", "hearing-change", "view-instrument"], vocabulary.Lists.Keys.Order(StringComparer.Ordinal));
        Assert.Equal(new LocalMeaning("red", IsExact: false, "Drum red, vessels full"), vocabulary.Lists["drum-appearance"]["DR2"]);
        Assert.Null(vocabulary.Lists["drum-appearance"]["DR7"].Code);
    }

    [Theory]
    [InlineData("status", "\"draft\"", "status must be active")]
    [InlineData("url", "\"https://ear-referral.example/fhir/ConceptMap/x\"", "among our own definitions")]
    [InlineData("group/0/source", "\"http://snomed.info/sct\"", "the clinic's own code system")]
    [InlineData("group/0/target", "\"https://ear-referral.example/fhir/CodeSystem/administrative-gender\"", "a list of the contract")]
    [InlineData("group/0/unmapped", """{ "mode": "fixed", "code": "none" }""", "would guess")]
    [InlineData("group/0/element/2/target/0/code", "\"suden\"", "HC3 leads to suden")]
    [InlineData("group/0/element/2/target/0/equivalence", "\"inexact\"", "HC3 is inexact")]
    [InlineData("group/0/element/2/target/0/equivalence", "\"narrower\"", "HC3 is narrower")]
    [InlineData("group/0/element/2/target/0/equivalence", "\"unmatched\"", "HC3 is unmatched and yet has a target")]
    [InlineData("group/0/element/2/target", """[{ "code": "sudden", "equivalence": "equal" }, { "code": "rapid", "equivalence": "equal" }]""", "HC3 needs exactly one target")]
    [InlineData("group/0/element/2/code", "\"HC0\"", "HC0 stands twice")]
    [InlineData("group", """[{ "target": "urn:a", "element": [{ "code": "x" }] }, { "target": "urn:b", "element": [{ "code": "x" }] }]""", "exactly one group")]
    [InlineData("colour", "\"red\"", "no FHIR R4 resource")]
    public void UnsoundMap_IsNamed(string place, string value, string expected)
    {
        var reader = new VocabularyReader("harbour-lane", new HashSet<string>());

        reader.Take("hearing-change.json", With(place, value));

        Assert.Contains(reader.Problems, problem => problem.StartsWith("hearing-change.json: ", StringComparison.Ordinal) && problem.Contains(expected, StringComparison.Ordinal));
        Assert.Empty(reader.Vocabularies());
    }

    [Fact]
    public void TwoMapsToOneList_AreAmbiguous()
    {
        var reader = new VocabularyReader("harbour-lane", new HashSet<string>());

        reader.Take("a.json", With("id", "\"a\""));
        reader.Take("b.json", With("id", "\"b\""));

        Assert.Contains("another file maps the same version", Assert.Single(reader.Problems), StringComparison.Ordinal);
    }

    [Fact]
    public void FolderThatIsNotThere_StopsTheStart() => Assert.Throws<OptionsValidationException>(() =>
        ClinicVocabularies.Read(new Dictionary<string, string> { ["harbour-lane"] = "/no/such/folder" }, RuleFolder.Load(Repository.At("profiles", "rules"))));

    [Fact]
    public void EveryListThatAClinicMayReplace_IsACodeSystemOfOurs()
    {
        string[] absences = ["not-asked", "not-seen", "not-done", "not-checked", "not-known", "not-assessed"];
        var systems = ProfileSet.Embedded().Definitions.OfType<CodeSystem>().Where(system => system.Url!.StartsWith(ProfileSet.CanonicalBase, StringComparison.Ordinal)).ToDictionary(system => system.Id!);

        Assert.All(ContractLists.All, list => Assert.Empty(list.Value.Except(systems[list.Key].Concept.Select(concept => concept.Code!)).Except(absences)));
    }

    [Theory]
    [InlineData("harbour-lane", ExitCode.Done)]
    [InlineData(".", ExitCode.Failed)]
    public async Task Verb_SaysWhetherAFolderIsSound(string folder, int expected)
    {
        using var written = new StringWriter();

        Assert.Equal(expected, await VocabularyCommand.CheckAsync(new DirectoryInfo(Repository.At("examples", "vocabulary", folder)), written));
        Assert.Contains(expected == ExitCode.Done ? "hearing-change (4)" : "no FHIR R4 resource", written.ToString(), StringComparison.Ordinal);
    }

    private static string With(string place, string value)
    {
        var map = JsonNode.Parse(File.ReadAllText(Repository.At("examples", "vocabulary", "harbour-lane", "hearing-change.json")))!;
        var parts = place.Split('/');
        var at = map;
        foreach (var part in parts[..^1])
        {
            at = (int.TryParse(part, out var index) ? at[index] : at[part])!;
        }

        at[parts[^1]] = JsonNode.Parse(value);
        return map.ToJsonString();
    }
}
