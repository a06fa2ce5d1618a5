using EarReferral.Delivery.Alarms;
using EarReferral.Referrals.Calendars;
using EarReferral.Referrals.Clocks;
using EarReferral.Storage;
using EarReferral.Storage.Referrals;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;

namespace EarReferral.Delivery.Working;

/// <summary>
/// Watches all six clocks of every referral that somebody waits for, so that neither a parked, resting or unconfigured destination nor
/// the silence of a receiver hides what is overdue.
/// </summary>
internal sealed class OverdueWatch(
    ReferralStore referrals, ClockReader clocks, OverdueAlarm alarm, WorkingCalendar calendar, Pulse pulse, TimeProvider clock, IOptions<DeliveryOptions> options, ILogger<OverdueWatch> logger) : BackgroundService
{
    private const int PageSize = 100;
    private static readonly TimeSpan Interval = TimeSpan.FromSeconds(20);
    private static readonly Reach Everywhere = new Reach.Everything("delivery");

    // Only spares reading timelines again; the timeline itself decides whether an alarm was raised.
    private readonly Dictionary<string, Watched> _watched = new(StringComparer.Ordinal);
    private string? _cursor;
    private DateTime _calendarTold;

    /// <summary>Reads what changed since the last look and raises every alarm that is due.</summary>
    public async Task LookAsync(CancellationToken cancellationToken)
    {
        await ReadChangesAsync(cancellationToken);
        var now = clock.GetUtcNow();
        if (calendar.DaysLeft(now) is var left and < 90 && now.UtcDateTime.Date != _calendarTold)
        {
            _calendarTold = now.UtcDateTime.Date;
            Log.CalendarEnds(logger, left);
        }

        foreach (var (id, watched) in _watched.Where(each => each.Value.NextLook <= now).ToList())
        {
            if (await referrals.FindAsync(Everywhere, id, cancellationToken) is { } referral)
            {
                _watched[id] = watched with { NextLook = await RaiseAsync(referral, now, cancellationToken) };
            }
        }
    }

    public override Task StartAsync(CancellationToken cancellationToken)
    {
        pulse.Expect("clocks", TimeSpan.FromMinutes(3));
        return base.StartAsync(cancellationToken);
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        while (!stoppingToken.IsCancellationRequested)
        {
            pulse.Beat("clocks");
            try
            {
                await LookAsync(stoppingToken);
                pulse.Beat("clocks");
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

    /// <summary>Raises what has run out; answers when the next clock does.</summary>
    private async Task<DateTimeOffset> RaiseAsync(StoredReferral referral, DateTimeOffset now, CancellationToken cancellationToken)
    {
        var readings = await clocks.ReadAsync(referral, now, cancellationToken);
        foreach (var expired in readings.Where(reading => reading.State is ClockState.Expired))
        {
            await alarm.RaiseAsync(
                referral.ReferralId,
                referral.Tier,
                expired.Clock,
                options.Value.Destinations.GetValueOrDefault(referral.Destination),
                referral.Destination,
                isSending: referral.State != ReferralState.NeedsHuman,
                cancellationToken);
        }

        return readings.Where(reading => reading.State is ClockState.Running).Min(reading => reading.ExpiresAt) ?? DateTimeOffset.MaxValue;
    }

    private async Task ReadChangesAsync(CancellationToken cancellationToken)
    {
        while (true)
        {
            var page = await referrals.ListAsync(Everywhere, _cursor, PageSize, cancellationToken);
            foreach (var referral in page.Items)
            {
                if (!ClockReader.IsRunning(referral))
                {
                    _watched.Remove(referral.ReferralId);
                    continue;
                }

                // The last page comes again at every look; what did not change keeps its appointment.
                var mark = new Mark(referral.ChangedAt, referral.State, referral.Tier, referral.TaskStatus, referral.BusinessStatus, referral.EvaluatedAt);
                if (_watched.GetValueOrDefault(referral.ReferralId)?.Mark != mark)
                {
                    _watched[referral.ReferralId] = new Watched(mark, DateTimeOffset.MinValue);
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

    /// <summary>By what a change of a referral is known; small, because every open referral has one in memory.</summary>
    private sealed record Mark(DateTimeOffset ChangedAt, ReferralState State, string Tier, string TaskStatus, string? BusinessStatus, DateTimeOffset EvaluatedAt);

    private sealed record Watched(Mark Mark, DateTimeOffset NextLook);
}
