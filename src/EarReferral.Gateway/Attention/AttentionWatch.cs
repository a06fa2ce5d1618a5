using System.Text.Json;
using EarReferral.Delivery;
using EarReferral.Delivery.Alarms;
using EarReferral.Referrals.Clocks;
using EarReferral.Storage.Alarms;
using EarReferral.Storage.Referrals;

namespace EarReferral.Gateway.Attention;

/// <summary>Raises an alarm for every matter whose clock has run out. It goes by what stands, not by what happened, so that a restart loses none.</summary>
internal sealed class AttentionWatch(OpenMatters matters, AlarmStore alarms, Pulse pulse, TimeProvider clock, ILogger<AttentionWatch> logger) : BackgroundService
{
    private const string Loop = "attention";
    private static readonly TimeSpan Interval = TimeSpan.FromSeconds(30);

    // What was acknowledged and still stands is raised anew after a day; an hour is soon enough to look.
    private static readonly TimeSpan LookAgain = TimeSpan.FromHours(1);

    private readonly Dictionary<string, DateTimeOffset> looked = new(StringComparer.Ordinal);

    /// <summary>One look.</summary>
    public async Task LookAsync(CancellationToken stop)
    {
        var now = clock.GetUtcNow();
        foreach (var matter in (await matters.ReadAsync(now, stop)).Where(matter => matter.Overdue))
        {
            var cause = Cause(matter);
            if (looked.TryGetValue(cause.Key, out var last) && now - last < LookAgain)
            {
                continue;
            }

            if (await alarms.RaiseAsync(cause, now, stop))
            {
                Log.AttentionOverdue(logger, matter.Due, matter.Kind, matter.ClinicId, matter.ReferralId ?? matter.EncounterId ?? matter.PatientId ?? matter.Name ?? "visit number not readable");
            }

            looked[cause.Key] = now;
        }
    }

    /// <summary>What the alarm is about. An expired clock has the key that its line in the timeline was raised with.</summary>
    internal static AlarmCause Cause(OpenMatter matter)
    {
        var kind = matter.Clock is { } expired ? ClockReader.AlarmKind(Enum.Parse<ReferralClock>(expired, ignoreCase: true)) : JsonNamingPolicy.KebabCaseLower.ConvertName(matter.Kind);
        var key = matter is { Clock: not null, ReferralId: { } id, Tier: { } tier }
            ? ReferralStore.AlarmKey(kind, id, tier)
            : $"{kind}/{matter.ClinicId}/{matter.ReferralId ?? matter.EncounterId ?? matter.PatientId ?? matter.Name ?? string.Create(System.Globalization.CultureInfo.InvariantCulture, $"{matter.Since.ToUnixTimeMilliseconds()}")}";
        return new AlarmCause(key, kind, matter.ClinicId, matter.ReferralId, matter.Tier, matter.Since);
    }

    /// <inheritdoc />
    public override Task StartAsync(CancellationToken cancellationToken)
    {
        pulse.Expect(Loop, TimeSpan.FromMinutes(3));
        return base.StartAsync(cancellationToken);
    }

    /// <inheritdoc />
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        while (!stoppingToken.IsCancellationRequested)
        {
            pulse.Beat(Loop);
            try
            {
                await LookAsync(stoppingToken);
            }
            catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
#pragma warning disable CA1031 // The store may be locked or away for a while; the watch must outlast it, and the next round looks again.
            catch (Exception unreadable)
#pragma warning restore CA1031
            {
                Log.StoreRefused(logger, unreadable.GetType().Name);
            }

            pulse.Beat(Loop);
            await Task.Delay(Interval, clock, stoppingToken).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        }
    }
}
