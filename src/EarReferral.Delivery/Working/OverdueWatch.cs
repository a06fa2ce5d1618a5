using EarReferral.Storage;
using EarReferral.Storage.Referrals;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;

namespace EarReferral.Delivery.Working;

/// <summary>
/// Watches the delivery clocks of all referrals that are not delivered, so that a paused destination, a resting one, one that is no
/// longer configured or an answer that needs a person does not hide an overdue referral.
/// </summary>
internal sealed class OverdueWatch(
    ReferralStore referrals, OverdueAlarm alarm, TimeProvider clock, IOptions<DeliveryOptions> options, ILogger<OverdueWatch> logger) : BackgroundService
{
    private const int PageSize = 100;
    private static readonly TimeSpan Interval = TimeSpan.FromSeconds(20);
    private static readonly Reach Everywhere = new Reach.Everything("delivery");

    private readonly Dictionary<string, StoredReferral> _undelivered = new(StringComparer.Ordinal);

    // Only spares reading the timeline again; the timeline itself decides whether the alarm was raised.
    private readonly HashSet<string> _alarmed = new(StringComparer.Ordinal);
    private string? _cursor;

    /// <summary>Reads what changed since the last look and raises every alarm that is due.</summary>
    public async Task LookAsync(CancellationToken cancellationToken)
    {
        await ReadChangesAsync(cancellationToken);
        foreach (var referral in _undelivered.Values.Where(referral => !_alarmed.Contains(referral.ReferralId)).ToList())
        {
            var destination = options.Value.Destinations.GetValueOrDefault(referral.Destination);
            if (await alarm.RaiseIfLateAsync(
                referral.ReferralId,
                referral.Tier,
                referral.EvaluatedAt,
                destination,
                referral.Destination,
                clock.GetUtcNow(),
                isSending: referral.State != ReferralState.NeedsHuman,
                cancellationToken))
            {
                _alarmed.Add(referral.ReferralId);
            }
        }
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        while (!stoppingToken.IsCancellationRequested)
        {
            try
            {
                await LookAsync(stoppingToken);
                await Task.Delay(Interval, clock, stoppingToken);
            }
            catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
#pragma warning disable CA1031 // A fault of the store must not end the watch.
            catch (Exception fault)
#pragma warning restore CA1031
            {
                Log.WatchFault(logger, fault);
                await Task.Delay(Interval, clock, stoppingToken).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
            }
        }
    }

    private static bool IsUndelivered(StoredReferral referral) => referral.State switch
    {
        ReferralState.Held or ReferralState.Queued => true,
        // Delivered before a correction: a person must speak with the receiver, but not because nothing arrived.
        ReferralState.NeedsHuman => referral.Locations is null,
        ReferralState.Delivered or ReferralState.Withdrawn or ReferralState.WithdrawnAfterSending => false,
    };

    private async Task ReadChangesAsync(CancellationToken cancellationToken)
    {
        while (true)
        {
            var page = await referrals.ListAsync(Everywhere, _cursor, PageSize, cancellationToken);
            foreach (var referral in page.Items)
            {
                if (IsUndelivered(referral))
                {
                    _undelivered[referral.ReferralId] = referral;
                }
                else
                {
                    _undelivered.Remove(referral.ReferralId);
                    _alarmed.Remove(referral.ReferralId);
                }
            }

            if (page.Next is null)
            {
                // The last page is read again next time, because it may have grown.
                return;
            }

            _cursor = page.Next;
        }
    }
}
