using Microsoft.Extensions.Configuration;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Options;

namespace EarReferral.Delivery.Tests;

public sealed class DeliveryServicesTests
{
    [Fact]
    public void Start_is_refused_when_a_destination_has_no_number_to_call()
    {
        using var services = Services(phone: null);

        var refusal = Assert.Throws<OptionsValidationException>(services.GetRequiredService<IStartupValidator>().Validate);

        Assert.Contains("westerquay-ent:Phone", Assert.Single(refusal.Failures), StringComparison.Ordinal);
    }

    [Fact]
    public void Destination_is_read_from_the_configuration()
    {
        using var services = Services(phone: "01632 960123");

        services.GetRequiredService<IStartupValidator>().Validate();

        var destination = services.GetRequiredService<IOptions<DeliveryOptions>>().Value.Destinations["westerquay-ent"];
        Assert.Equal(new Uri("https://ent.example/fhir"), destination.BaseUrl);
        Assert.Equal(TimeSpan.FromSeconds(20), destination.AttemptTimeout);
        Assert.True(destination.HoldRoutine);
    }

    private static ServiceProvider Services(string? phone) => new ServiceCollection().AddDelivery(new ConfigurationBuilder().AddInMemoryCollection(new Dictionary<string, string?>
    {
        ["Delivery:Destinations:westerquay-ent:BaseUrl"] = "https://ent.example/fhir",
        ["Delivery:Destinations:westerquay-ent:Phone"] = phone,
        ["Delivery:Destinations:westerquay-ent:OdsCode"] = "WQG07",
        ["Delivery:Destinations:westerquay-ent:Name"] = "Westerquay General, ENT department",
        ["Delivery:Destinations:westerquay-ent:AttemptTimeout"] = "00:00:20",
        ["Delivery:Destinations:westerquay-ent:HoldRoutine"] = "true",
    }).Build()).BuildServiceProvider();
}
