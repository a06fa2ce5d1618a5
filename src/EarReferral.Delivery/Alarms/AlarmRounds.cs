using System.Globalization;
using EarReferral.Referrals.Calendars;
using EarReferral.Referrals.Clocks;
using EarReferral.Storage.Alarms;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;

namespace EarReferral.Delivery.Alarms;

/// <summary>Tells the next step of every alarm that is due, and sends each channel's daily test message.</summary>
internal sealed class AlarmRounds(AlarmStore alarms, ChannelStore states, Channels channels, WorkingCalendar calendar, TimeProvider clock, IOptions<AlarmOptions> options, ILogger<AlarmRounds> logger)
{
    // Longer than all channels of a list one after the other take in practice; a worker that died is followed after it.
    private static readonly TimeSpan Lease = TimeSpan.FromMinutes(2);
    private static readonly TimeSpan NobodyReached = TimeSpan.FromSeconds(30);
    private static readonly TimeSpan TestAgain = TimeSpan.FromMinutes(5);

    /// <summary>Tells whatever is due now.</summary>
    public async Task RoundAsync(CancellationToken cancellationToken)
    {
        while (channels.Names.Count > 0 && await alarms.ClaimAsync(clock.GetUtcNow(), Lease, cancellationToken) is { } alarm)
        {
            await TellAsync(alarm, cancellationToken);
        }

        foreach (var name in channels.Names)
        {
            await TestAsync(name, cancellationToken);
        }
    }

    /// <summary>The next time of day of the test message after an instant.</summary>
    internal DateTimeOffset NextTest(DateTimeOffset now)
    {
        var today = DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(now, calendar.Zone).DateTime);
        return At(today) is var soon && soon > now ? soon : At(today.AddDays(1));
    }

    private DateTimeOffset At(DateOnly day)
    {
        var local = day.ToDateTime(options.Value.TestAt);
        // An hour that the spring change of the clocks leaves out is read as the hour after it.
        var real = calendar.Zone.IsInvalidTime(local) ? local.AddHours(1) : local;
        return new DateTimeOffset(real, calendar.Zone.GetUtcOffset(real));
    }

    private async Task TellAsync(Alarm alarm, CancellationToken cancellationToken)
    {
        var urgency = alarm.Cause.Tier is { } tier ? ClockReader.Urgency(tier) : ReferralUrgency.Immediate;
        if (channels.ListOf(alarm.Cause.ClinicId) is not { } list)
        {
            await alarms.MoveAsync(alarm, alarm.Step, clock.GetUtcNow() + TestAgain, cancellationToken);
            return;
        }

        foreach (var name in list.Channels(alarm.Step))
        {
            var outcome = await channels.Find(name).SendAsync(Notice(alarm), cancellationToken);
            await alarms.RecordAsync(alarm.Id, new AlarmMessage(alarm.MessageId, alarm.Step, name, clock.GetUtcNow(), outcome.Taken, outcome.Word), CancellationToken.None);
            if (outcome.Taken)
            {
                Log.AlarmTold(logger, alarm.Id, alarm.Cause.Kind, alarm.Step, name);
                await alarms.MoveAsync(alarm, alarm.Step + 1, clock.GetUtcNow() + list.At(alarm.Step).Wait(urgency), CancellationToken.None);
                return;
            }

            Log.ChannelFailed(logger, name, outcome.Word);
        }

        Log.NobodyTold(logger, alarm.Id, alarm.Cause.Kind);
        await alarms.MoveAsync(alarm, alarm.Step, clock.GetUtcNow() + NobodyReached, CancellationToken.None);
    }

    private AlarmNotice Notice(Alarm alarm) => new(
        alarm.MessageId,
        "alarm",
        alarm.Id,
        alarm.Cause.Kind,
        alarm.Cause.ClinicId.Length == 0 ? null : alarm.Cause.ClinicId,
        alarm.Cause.ReferralId,
        alarm.Cause.Tier,
        Math.Max(0, (long)(clock.GetUtcNow() - alarm.Cause.Since).TotalMinutes),
        alarm.Step);

    private async Task TestAsync(string name, CancellationToken cancellationToken)
    {
        var now = clock.GetUtcNow();
        if (await states.ClaimAsync(name, now, now + TestAgain, cancellationToken) is null)
        {
            return;
        }

        var day = TimeZoneInfo.ConvertTime(now, calendar.Zone).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
        var outcome = await channels.Find(name).SendAsync(new AlarmNotice($"test/{name}/{day}", "test", null, "daily-test", null, null, null, 0, 0), cancellationToken);
        if (!outcome.Taken)
        {
            Log.ChannelFailed(logger, name, outcome.Word);
        }

        await states.RecordAsync(name, clock.GetUtcNow(), outcome.Taken, outcome.Word, outcome.Taken ? NextTest(now) : null, null, CancellationToken.None);
    }
}
