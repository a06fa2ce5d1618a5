using EarReferral.Testing;

namespace EarReferral.Validation.Tests.Pack;

/// <summary>
/// The packs in profiles/pack are what this step makes of the published R4 definitions and our differentials.
/// Set EAR_REFERRAL_REBUILD_DEFINITIONS=1 to write them anew after a change of a profile.
/// </summary>
public sealed class DefinitionPackTests
{
    [Fact]
    public async Task CommittedPacks_AreWhatTheStepMakesOfTheSources()
    {
        var authored = DefinitionPack.Authored();
        var basis = DefinitionPack.BaseDefinitions(new SpecificationArchive(), authored);
        var ours = await DefinitionPack.WithSnapshots(authored, basis);
        var rebuild = Environment.GetEnvironmentVariable("EAR_REFERRAL_REBUILD_DEFINITIONS") == "1";

        foreach (var (name, resources) in new[] { ("r4-definitions.ndjson.gz", [.. basis.Select(DefinitionPack.WithoutExplanations)]), ("ear-referral-snapshots.ndjson.gz", ours) })
        {
            var path = Repository.At("profiles", "pack", name);
            var made = DefinitionPack.ToNdjson(resources);
            if (rebuild)
            {
                await File.WriteAllBytesAsync(path, DefinitionPack.Pack(made), TestContext.Current.CancellationToken);
            }

            // The compressed bytes depend on the compressor, so the content is compared.
            Assert.True(made == DefinitionPack.Unpack(await File.ReadAllBytesAsync(path, TestContext.Current.CancellationToken)), $"{name} is stale.");
        }
    }
}
