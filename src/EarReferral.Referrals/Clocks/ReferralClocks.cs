using EarReferral.Referrals.Calendars;

namespace EarReferral.Referrals.Clocks;

/// <summary>Reads the six clocks of a referral from what has happened; holds nothing, so a restart changes nothing.</summary>
public static class ReferralClocks
{
    /// <summary>All six clocks at the instant <paramref name="now"/>, in the order of the journey.</summary>
    public static IReadOnlyList<ClockReading> At(ReferralTimeline timeline, ReferralUrgency urgency, ClockLimits limits, WorkingCalendar calendar, DateTimeOffset now) =>
        [.. Enum.GetValues<ReferralClock>().Select(clock => Read(clock, timeline, from => limits.Expiry(urgency, clock, from, calendar), now))];

    /// <summary>When the delivery clock runs out: from then on a person must carry the referral by another way.</summary>
    public static DateTimeOffset DeliverBy(DateTimeOffset decidedAt, ReferralUrgency urgency, ClockLimits limits) =>
        decidedAt + limits.For(urgency, ReferralClock.Deliver);

    private static ClockReading Read(ReferralClock clock, ReferralTimeline timeline, Func<DateTimeOffset, DateTimeOffset> expiry, DateTimeOffset now)
    {
        var (started, countsFrom, stopped) = Span(clock, timeline);
        if (started is null || countsFrom is null)
        {
            return new ClockReading(clock, ClockState.NotStarted, null, null, null);
        }

        // A clock that starts after its limit has already passed gets expired at once rather than extra time.
        var expires = expiry(countsFrom.Value);
        var state = stopped is { } at
            ? at <= expires ? ClockState.Stopped : ClockState.StoppedLate
            : now < expires ? ClockState.Running : ClockState.Expired;
        return new ClockReading(clock, state, started, expires, stopped);
    }

    private static (DateTimeOffset? Started, DateTimeOffset? CountsFrom, DateTimeOffset? Stopped) Span(ReferralClock clock, ReferralTimeline t) => clock switch
    {
        ReferralClock.Deliver => (t.DecidedAt, t.DecidedAt, t.DeliveredAt),
        ReferralClock.Acknowledge => (t.DeliveredAt, t.DecidedAt, t.AcknowledgedAt),
        ReferralClock.TriageOutcome => (t.AcknowledgedAt, t.DecidedAt, t.TriagedAt),
        ReferralClock.Appointment => (t.AcceptedAt, t.DecidedAt, t.BookedAt),
        ReferralClock.Outcome => (t.VisitAt, t.VisitAt, t.OutcomeAt),
        // A reply to an earlier question does not stop the clock of a later one.
        ReferralClock.InformationReply => (t.QuestionAt, t.QuestionAt, t.ReplyAt >= t.QuestionAt ? t.ReplyAt : null),
    };
}
