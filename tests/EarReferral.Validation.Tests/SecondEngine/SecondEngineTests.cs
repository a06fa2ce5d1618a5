using System.Text.Json.Nodes;
using EarReferral.Testing;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Validation.Tests.SecondEngine;

/// <summary>Two libraries in another language that share no code with the product's: fhirpath.js on every invariant, npm fhir on every golden bundle.</summary>
public sealed class SecondEngineTests : IDisposable
{
    private static readonly FhirJsonSerializer Json = new();

    private readonly DirectoryInfo folder = Directory.CreateTempSubdirectory("ear-opinion-");

    [Fact]
    public async Task AnotherFhirPathEngine_FindsTheSameInvariantsBroken()
    {
        var instances = InvariantTests.Instances.ToDictionary(instance => instance.Name, instance => instance.Resource);
        var file = Path.Combine(folder.FullName, "cases.json");
        await File.WriteAllTextAsync(
            file,
            new JsonArray([.. instances.Select(instance => new JsonObject
            {
                ["name"] = instance.Key,
                ["profile"] = instance.Value.Meta!.Profile.Single(),
                ["resource"] = JsonNode.Parse(Json.SerializeToString(instance.Value)),
            })]).ToJsonString(),
            TestContext.Current.CancellationToken);

        var theirs = JsonNode.Parse(await NodeProgram.RunAsync("invariants.mjs", Repository.At("profiles", "structure-definitions"), file))!.AsObject();

        Assert.Equal(instances.Count, theirs.Count);
        Assert.All(instances, instance => Assert.Equal(Ours(instance.Value), theirs[instance.Key]!.AsArray().Select(key => (string)key!).Distinct().Order(StringComparer.Ordinal)));
        Assert.All(instances.Keys.Where(name => name.EndsWith(" breaks", StringComparison.Ordinal)), name => Assert.Equal([name[..^" breaks".Length]], Texts(theirs[name]!)));
    }

    [Fact]
    public async Task AnotherLibrary_ConvertsEveryGoldenBundleToTheSameXmlAndBack()
    {
        var goldens = Directory.EnumerateFiles(Repository.At("examples", "bundles"), "*.json").ToDictionary(file => Path.GetFileNameWithoutExtension(file), File.ReadAllText);
        foreach (var (name, golden) in goldens)
        {
            await File.WriteAllTextAsync(Path.Combine(folder.FullName, $"{name}.json"), golden, TestContext.Current.CancellationToken);
            await File.WriteAllTextAsync(Path.Combine(folder.FullName, $"{name}.ours.xml"), new FhirXmlSerializer().SerializeToString(Bundle(golden)), TestContext.Current.CancellationToken);
        }

        var output = await NodeProgram.RunAsync("round-trip.mjs", folder.FullName);

        Assert.Contains($"converted {goldens.Count} bundles", output, StringComparison.Ordinal);
        Assert.True(goldens.Count >= 18);
        Assert.All(goldens, golden =>
        {
            var theirXml = (Bundle)new FhirXmlDeserializer().DeserializeResource(File.ReadAllText(Path.Combine(folder.FullName, $"{golden.Key}.theirs.xml")));
            var theirJson = Bundle(File.ReadAllText(Path.Combine(folder.FullName, $"{golden.Key}.theirs.json")));
            Assert.True(theirXml.IsExactly(Bundle(golden.Value)), $"{golden.Key}: the XML made by npm fhir says something else.");
            Assert.True(theirJson.IsExactly(Bundle(golden.Value)), $"{golden.Key}: npm fhir reads something else from our XML.");
        });
    }

    public void Dispose() => folder.Delete(recursive: true);

    private static IEnumerable<string> Ours(Resource resource) => Judge.Validator.Validate(resource).Issues
        .Select(issue => issue.RuleId).Where(key => key.StartsWith("ear-", StringComparison.Ordinal)).Distinct().Order(StringComparer.Ordinal);

    private static IEnumerable<string> Texts(JsonNode array) => array.AsArray().Select(text => (string)text!);

    private static Bundle Bundle(string json) => (Bundle)new FhirJsonDeserializer().DeserializeResource(json);
}
