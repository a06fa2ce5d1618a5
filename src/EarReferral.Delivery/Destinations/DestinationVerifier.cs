using EarReferral.Delivery.Sending;
using EarReferral.Storage.Sending;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;

namespace EarReferral.Delivery.Destinations;

/// <summary>
/// Looks at a receiver's capability statement when somebody asks, and keeps how referrals are sent there. A start never does: a receiver
/// that is away must not keep the gateway from taking encounters.
/// </summary>
public sealed class DestinationVerifier
{
    private readonly EntClient client;
    private readonly DestinationStore destinations;
    private readonly IOptions<DeliveryOptions> options;
    private readonly TimeProvider clock;
    private readonly ILogger<DestinationVerifier> logger;

    internal DestinationVerifier(EntClient client, DestinationStore destinations, IOptions<DeliveryOptions> options, TimeProvider clock, ILogger<DestinationVerifier> logger) =>
        (this.client, this.destinations, this.options, this.clock, this.logger) = (client, destinations, options, clock, logger);

    /// <summary>Looks; null when no such destination is configured. What stands against it parks it.</summary>
    /// <param name="name">Name of the destination.</param>
    /// <param name="acceptChange">True when a person accepts that referrals go out in another way from now on.</param>
    /// <param name="actor">Who asks.</param>
    /// <param name="cancellationToken">Stops the look.</param>
    public async Task<DestinationState?> VerifyAsync(string name, bool acceptChange, string actor, CancellationToken cancellationToken)
    {
        if (options.Value.Destinations.GetValueOrDefault(name) is not { } destination)
        {
            return null;
        }

        var before = await destinations.FindAsync(name, cancellationToken);
        var reading = await client.MetadataAsync(destination, cancellationToken);
        var changed = reading.Mode is { } found && (before.Mode ?? ExchangeMode.Transaction) != found && !acceptChange && (before.Mode is not null || before.VerifiedAt is not null);
        var problem = reading.Problem ?? (changed ? $"It is sent to by {before.Mode}, and now offers {reading.Mode}; a person must accept the change." : null);
        if (problem is not null)
        {
            Log.NotVerified(logger, name, problem);
        }

        return await destinations.VerifiedAsync(name, problem is null ? reading.Mode : null, reading.Updates, problem, actor, clock.GetUtcNow(), cancellationToken);
    }
}
