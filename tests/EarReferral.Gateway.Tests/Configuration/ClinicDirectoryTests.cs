using EarReferral.Delivery;
using EarReferral.Gateway.Configuration;
using Microsoft.Extensions.Configuration;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Tests.Configuration;

/// <summary>A clinic's own destination gets whatever no route takes, so it must take every tier.</summary>
public sealed class ClinicDirectoryTests
{
    [Fact]
    public void DestinationThatTakesEveryTier_IsAccepted() => Assert.Equal("harbour-lane", Read([]).First);

    [Fact]
    public void DestinationThatLeavesTiersOut_IsRefusedForEach()
    {
        var refusal = Assert.Throws<OptionsValidationException>(() => Read(["T2", "T2C", "T3"]));

        Assert.Equal(["T0", "T1"], refusal.Failures.Select(failure => failure.Split("does not take ")[1][..2]));
    }

    [Fact]
    public void UnknownDestination_IsRefused() =>
        Assert.Contains("not among Delivery:Destinations", Assert.Single(Assert.Throws<OptionsValidationException>(() => Read([], "nowhere")).Failures), StringComparison.Ordinal);

    private static ClinicDirectory Read(string[] tiers, string named = "westerquay-ent")
    {
        var destination = new DestinationOptions();
        foreach (var tier in tiers)
        {
            destination.Tiers.Add(tier);
        }

        var configuration = new ConfigurationBuilder().AddInMemoryCollection(new Dictionary<string, string?>
        {
            ["Clinics:harbour-lane:Name"] = "Harbour Lane Ear Care",
            ["Clinics:harbour-lane:EntDestination"] = named,
        }).Build();
        return ClinicDirectory.Read(configuration, new Dictionary<string, DestinationOptions> { ["westerquay-ent"] = destination });
    }
}
