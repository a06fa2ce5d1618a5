using EarReferral.Delivery.Alarms;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;

namespace EarReferral.Gateway.Attention;

/// <summary>Asks the gateway itself over HTTP whether it answers; when it does not, the heartbeat stops.</summary>
internal sealed class GatewayPulse(IServer server, IHostApplicationLifetime lifetime, Pulse pulse, TimeProvider clock) : BackgroundService
{
    private const string Loop = "gateway";
    private static readonly TimeSpan Interval = TimeSpan.FromSeconds(20);

    /// <inheritdoc />
    public override Task StartAsync(CancellationToken cancellationToken)
    {
        pulse.Expect(Loop, TimeSpan.FromMinutes(2));
        return base.StartAsync(cancellationToken);
    }

    /// <inheritdoc />
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var client = new HttpClient { Timeout = TimeSpan.FromSeconds(10) };
        while (!stoppingToken.IsCancellationRequested)
        {
            if (lifetime.ApplicationStarted.IsCancellationRequested && await AnswersAsync(client, stoppingToken))
            {
                pulse.Beat(Loop);
            }

            await Task.Delay(Interval, clock, stoppingToken).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        }
    }

    private async Task<bool> AnswersAsync(HttpClient client, CancellationToken stop)
    {
        if (server.Features.Get<IServerAddressesFeature>()?.Addresses.FirstOrDefault() is not { } address)
        {
            return false;
        }

        try
        {
            using var response = await client.GetAsync(new Uri(new Uri(address), "/health/live"), stop);
            return response.IsSuccessStatusCode;
        }
        catch (Exception silent) when (silent is HttpRequestException or OperationCanceledException)
        {
            return false;
        }
    }
}
