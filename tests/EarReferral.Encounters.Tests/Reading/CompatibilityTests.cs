using EarReferral.Encounters.Reading;
using EarReferral.Encounters.Tests.Fixtures;
using EarReferral.Testing;

namespace EarReferral.Encounters.Tests.Reading;

/// <summary>What was a good document once stays one: the promise of <c>contractVersion</c> 1.</summary>
public sealed class CompatibilityTests
{
    public static TheoryData<string> FrozenFiles => [.. Names("frozen", "v1")];

    public static TheoryData<string> Examples => [.. Names("encounters")];

    [Theory]
    [MemberData(nameof(FrozenFiles))]
    public void A_frozen_file_of_version_1_is_accepted(string name) => AssertAccepted("frozen", "v1", name);

    [Theory]
    [MemberData(nameof(Examples))]
    public void A_committed_example_is_accepted(string name) => AssertAccepted("encounters", name);

    [Fact]
    public void Three_files_are_frozen_and_none_was_lost() =>
        Assert.Equal(["05-three-deposits-two-changes.json", "09-sudden-loss-12-days.json", "18-child-with-wax.json"], Names("frozen", "v1"));

    private static void AssertAccepted(params string[] path)
    {
        var reading = EncounterReader.Read(File.ReadAllBytes(Repository.At(["examples", .. path])), Fixture.TestNumbers);

        Assert.Empty(reading.Problems);
        Assert.NotNull(reading.Encounter);
    }

    private static IEnumerable<string> Names(params string[] folder) =>
        Directory.EnumerateFiles(Repository.At(["examples", .. folder]), "*.json").Select(file => Path.GetFileName(file)).Order(StringComparer.Ordinal);
}
