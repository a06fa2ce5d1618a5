using EarReferral.Referrals.Clocks;
using Microsoft.Extensions.Logging;

namespace EarReferral.Delivery;

/// <summary>Every message of the delivery: ids, counts and states, never a word that a patient or a receiver wrote.</summary>
internal static partial class Log
{
    [LoggerMessage(3001, LogLevel.Information, "Referral {ReferralId} delivered to {Destination} at attempt {Attempt}")]
    public static partial void Delivered(ILogger logger, string referralId, string destination, int attempt);

    [LoggerMessage(3002, LogLevel.Warning, "Referral {ReferralId} not delivered to {Destination} at attempt {Attempt}: {Outcome}, status {StatusCode}, next at {NextAttempt}")]
    public static partial void WillRetry(ILogger logger, string referralId, string destination, int attempt, string outcome, int? statusCode, DateTimeOffset nextAttempt);

    [LoggerMessage(3003, LogLevel.Error, "Referral {ReferralId} to {Destination} needs a person: {Outcome}, status {StatusCode}, {IssueCount} issues")]
    public static partial void NeedsHuman(ILogger logger, string referralId, string destination, string outcome, int? statusCode, int issueCount);

    [LoggerMessage(3004, LogLevel.Critical, "Destination {Destination} parked: {Outcome}, status {StatusCode}; nothing is sent there until somebody resumes it")]
    public static partial void Parked(ILogger logger, string destination, string outcome, int? statusCode);

    [LoggerMessage(3005, LogLevel.Critical, "Referral {ReferralId} of tier {Tier} is not delivered to {Destination} in time; telephone")]
    public static partial void Overdue(ILogger logger, string referralId, string tier, string destination);

    [LoggerMessage(3006, LogLevel.Warning, "Referral {ReferralId}: the lease was lost while sending to {Destination}; another worker's outcome counts")]
    public static partial void LeaseLost(ILogger logger, string referralId, string destination);

    [LoggerMessage(3007, LogLevel.Information, "Referral {ReferralId} was taken back and not sent to {Destination}")]
    public static partial void Withdrawn(ILogger logger, string referralId, string destination);

    [LoggerMessage(3008, LogLevel.Error, "Referral {ReferralId} to {Destination}: fault in our own code, tried again later")]
    public static partial void ReferralFault(ILogger logger, Exception fault, string referralId, string destination);

    [LoggerMessage(3009, LogLevel.Error, "A lane of {Destination} had a fault and goes on")]
    public static partial void LaneFault(ILogger logger, Exception fault, string destination);

    [LoggerMessage(3010, LogLevel.Error, "The watch over late deliveries had a fault and goes on")]
    public static partial void WatchFault(ILogger logger, Exception fault);

    [LoggerMessage(3012, LogLevel.Critical, "Referral {ReferralId}: {Count} times in a row something in front of {Destination} answered, not the ENT system itself; have address and network checked")]
    public static partial void OnlyIntermediary(ILogger logger, string referralId, string destination, int count);

    [LoggerMessage(3013, LogLevel.Error, "Referral {ReferralId} of tier {Tier} to {Destination}: the clock {Clock} has run out; somebody must act")]
    public static partial void ClockExpired(ILogger logger, string referralId, string tier, ReferralClock clock, string destination);

    [LoggerMessage(3014, LogLevel.Warning, "The list of bank holidays ends in {Days} days; replace it (Delivery:CalendarFile), or clocks of working days run out early")]
    public static partial void CalendarEnds(ILogger logger, int days);

    [LoggerMessage(3020, LogLevel.Warning, "Alarm {AlarmId} ({Kind}), step {Step}: told by channel {Channel}")]
    public static partial void AlarmTold(ILogger logger, string alarmId, string kind, int step, string channel);

    [LoggerMessage(3021, LogLevel.Error, "Channel {Channel} fails: {Outcome}")]
    public static partial void ChannelFailed(ILogger logger, string channel, string outcome);

    [LoggerMessage(3022, LogLevel.Critical, "Alarm {AlarmId} ({Kind}): NO CHANNEL took it; tried again within a minute")]
    public static partial void NobodyTold(ILogger logger, string alarmId, string kind);

    [LoggerMessage(3023, LogLevel.Warning, "No channel for alarms is configured (Delivery:Alarms): they stand under /alarms and in this log only")]
    public static partial void NoChannels(ILogger logger);

    [LoggerMessage(3024, LogLevel.Critical, "Heartbeat withheld: {Loops} stand still")]
    public static partial void HeartbeatWithheld(ILogger logger, string loops);

    [LoggerMessage(3025, LogLevel.Warning, "Heartbeat did not get through: {Outcome}")]
    public static partial void HeartbeatLost(ILogger logger, string outcome);

    [LoggerMessage(3026, LogLevel.Critical, "Destination {Destination} parked after a look at its capability statement: {Problem}")]
    public static partial void NotVerified(ILogger logger, string destination, string problem);

    [LoggerMessage(3011, LogLevel.Warning, "Destination {Destination} asked to slow down until {Until}")]
    public static partial void Throttled(ILogger logger, string destination, DateTimeOffset until);
}
