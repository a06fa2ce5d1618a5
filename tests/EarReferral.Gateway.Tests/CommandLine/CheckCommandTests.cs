using System.Text.Json;
using EarReferral.Gateway.CommandLine;
using EarReferral.Testing;
using Hl7.Fhir.Serialization;

namespace EarReferral.Gateway.Tests.CommandLine;

public sealed class CheckCommandTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("ear-check-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public async Task FolderWithJsonAndXml_TellsOfEachFileAndFailsForTheInvalidOne()
    {
        var bundle = await File.ReadAllTextAsync(Repository.At("examples", "bundles", "06-clear-ears-nothing-to-do.bundle.json"), TestContext.Current.CancellationToken);
        await WriteAsync("valid.json", bundle);
        await WriteAsync("valid.xml", new FhirXmlSerializer().SerializeToString(new FhirJsonDeserializer().DeserializeResource(bundle)));
        await WriteAsync("note.txt", "not looked at");
        var (code, results, progress) = await RunAsync([folder], asJson: false);
        Assert.Equal(ExitCode.Done, code);
        Assert.Contains("2 valid, 0 not valid.", results, StringComparison.Ordinal);
        Assert.Contains("Checking 2 file(s).", progress, StringComparison.Ordinal);

        await WriteAsync("broken.json", "{");
        (code, results, _) = await RunAsync([folder], asJson: true);
        Assert.Equal(ExitCode.Failed, code);
        var document = JsonDocument.Parse(results).RootElement;
        Assert.Equal((2, 1), (document.GetProperty("valid").GetInt32(), document.GetProperty("invalid").GetInt32()));
        Assert.Equal("unreadable", document.GetProperty("files")[0].GetProperty("issues")[0].GetProperty("rule").GetString());
    }

    [Fact]
    public async Task NothingToCheck_IsWrongUsageAndNeverValid()
    {
        Assert.Equal(ExitCode.Usage, (await RunAsync([folder], asJson: false)).Code);
        Assert.Equal(ExitCode.Usage, (await RunAsync([Path.Combine(folder, "missing.json")], asJson: false)).Code);
    }

    private Task WriteAsync(string name, string text) => File.WriteAllTextAsync(Path.Combine(folder, name), text, TestContext.Current.CancellationToken);

    private static async Task<(int Code, string Results, string Progress)> RunAsync(string[] paths, bool asJson)
    {
        await using var results = new StringWriter();
        await using var progress = new StringWriter();
        var code = await CheckCommand.RunAsync(paths, asJson, results, progress, TestContext.Current.CancellationToken);
        return (code, results.ToString(), progress.ToString());
    }
}
