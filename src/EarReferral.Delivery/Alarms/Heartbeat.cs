using System.Text.Json;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;

namespace EarReferral.Delivery.Alarms;

/// <summary>Posts a sign of life while every loop goes round. Whoever gets it raises the alarm when it stays away: a dead gateway cannot.</summary>
internal sealed class Heartbeat(SignedPost post, Pulse pulse, TimeProvider clock, IOptions<AlarmOptions> options, ILogger<Heartbeat> logger) : BackgroundService
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(5);

    /// <summary>One beat; false when it was withheld or did not get through.</summary>
    public async Task<bool> BeatAsync(CancellationToken cancellationToken)
    {
        if (pulse.Silent() is { Count: > 0 } silent)
        {
            Log.HeartbeatWithheld(logger, string.Join(' ', silent));
            return false;
        }

        var now = clock.GetUtcNow();
        var outcome = await post.SendAsync(
            options.Value.Heartbeat.Url!, null, $"heartbeat/{now.ToUnixTimeSeconds()}", JsonSerializer.SerializeToUtf8Bytes(new { at = now, every = options.Value.Heartbeat.Every }), Patience, cancellationToken);
        if (!outcome.Taken)
        {
            Log.HeartbeatLost(logger, outcome.Word);
        }

        return outcome.Taken;
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        if (options.Value.Heartbeat.Url is null)
        {
            return;
        }

        using var timer = new PeriodicTimer(options.Value.Heartbeat.Every, clock);
        try
        {
            while (await timer.WaitForNextTickAsync(stoppingToken))
            {
                await BeatAsync(stoppingToken);
            }
        }
        catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
        {
            return;
        }
    }
}
