using EarReferral.Storage;

namespace EarReferral.Gateway.Fhir;

/// <summary>Renews the search index after a start that found an older one, while the gateway serves.</summary>
internal sealed class IndexRenewal(Store store) : BackgroundService
{
    /// <inheritdoc />
    protected override Task ExecuteAsync(CancellationToken stoppingToken) => store.RenewIndexAsync(stoppingToken);
}
