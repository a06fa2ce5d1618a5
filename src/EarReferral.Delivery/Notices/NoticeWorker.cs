using EarReferral.Delivery.Alarms;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;

namespace EarReferral.Delivery.Notices;

/// <summary>Makes a round every few seconds, where any clinic wants to be told.</summary>
internal sealed class NoticeWorker(NoticeRounds rounds, Pulse pulse, TimeProvider clock, IOptions<DeliveryOptions> options, ILogger<NoticeWorker> logger) : BackgroundService
{
    private const string Name = "notices";
    private static readonly TimeSpan Interval = TimeSpan.FromSeconds(2);

    public override Task StartAsync(CancellationToken cancellationToken)
    {
        if (options.Value.Notices.Count > 0)
        {
            // A round waits for up to fifty messages to a webhook that answers slowly.
            pulse.Expect(Name, TimeSpan.FromMinutes(15));
        }

        return base.StartAsync(cancellationToken);
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        while (options.Value.Notices.Count > 0 && !stoppingToken.IsCancellationRequested)
        {
            pulse.Beat(Name);
            try
            {
                await rounds.RoundAsync(stoppingToken);
            }
            catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
#pragma warning disable CA1031 // A fault of the store must not end the notices.
            catch (Exception fault)
#pragma warning restore CA1031
            {
                Log.WatchFault(logger, fault);
            }

            await Task.Delay(Interval, clock, stoppingToken).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        }
    }
}
