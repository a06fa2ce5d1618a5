using EarReferral.Gateway.CommandLine;
using EarReferral.Testing;

namespace EarReferral.Gateway.Tests.CommandLine;

public sealed class RulesCheckTests : IDisposable
{
    private static readonly DirectoryInfo Published = new(Repository.At("profiles", "rules"));

    private readonly DirectoryInfo folder = Directory.CreateTempSubdirectory("ear-rules-");

    public void Dispose() => folder.Delete(recursive: true);

    [Fact]
    public async Task SoundSetWithPolicy_NamesVersionAndEveryChange()
    {
        var (code, results, _) = await RunAsync(Published, new DirectoryInfo(Repository.At("examples", "local-policy")));

        Assert.Equal(ExitCode.Done, code);
        Assert.Contains("Sound: version 1.0.0-local-harbour-lane-2026-11-02, ", results, StringComparison.Ordinal);
        Assert.Contains("R-HL-02: Local policy of Harbour Lane Ear Care, 2026-11-02: 7 days instead of 14 days.", results, StringComparison.Ordinal);
    }

    [Fact]
    public async Task BrokenPolicy_FailsWithEveryProblem()
    {
        await File.WriteAllTextAsync(Path.Combine(folder.FullName, "overlay.json"), """{ "site": "Harbour Lane", "rules": 3 }""", TestContext.Current.CancellationToken);

        var (code, results, _) = await RunAsync(Published, folder);

        Assert.Equal(ExitCode.Failed, code);
        Assert.All((string[])["site: 'Harbour Lane'", "name: is missing", "date: is missing", "base: is missing", "rules: is not a list", "5 problem(s)"],
            problem => Assert.Contains(problem, results, StringComparison.Ordinal));
    }

    [Fact]
    public async Task MissingFolder_IsWrongUsage()
    {
        var (code, _, complaints) = await RunAsync(Published, new DirectoryInfo(Path.Combine(folder.FullName, "none")));

        Assert.Equal(ExitCode.Usage, code);
        Assert.Contains("There is no folder", complaints, StringComparison.Ordinal);
    }

    private static async Task<(int Code, string Results, string Complaints)> RunAsync(DirectoryInfo with, DirectoryInfo? overlay)
    {
        await using var results = new StringWriter();
        await using var complaints = new StringWriter();
        var code = await RulesCommand.CheckAsync(with, overlay, results, complaints);
        return (code, results.ToString(), complaints.ToString());
    }
}
