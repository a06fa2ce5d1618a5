using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;

namespace EarReferral.Delivery.Alarms;

/// <summary>Makes a round every few seconds.</summary>
internal sealed class AlarmWorker(AlarmRounds rounds, Pulse pulse, TimeProvider clock, IOptions<AlarmOptions> options, ILogger<AlarmWorker> logger) : BackgroundService
{
    private const string Name = "alarms";
    private static readonly TimeSpan Interval = TimeSpan.FromSeconds(5);

    public override Task StartAsync(CancellationToken cancellationToken)
    {
        // A round waits for channels that do not answer, one after the other.
        pulse.Expect(Name, TimeSpan.FromMinutes(3));
        return base.StartAsync(cancellationToken);
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        if (options.Value.Channels.Count == 0)
        {
            Log.NoChannels(logger);
        }

        while (!stoppingToken.IsCancellationRequested)
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
#pragma warning disable CA1031 // A fault of the store must not end the alarms.
            catch (Exception fault)
#pragma warning restore CA1031
            {
                Log.WatchFault(logger, fault);
            }

            pulse.Beat(Name);
            await Task.Delay(Interval, clock, stoppingToken).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        }
    }
}
