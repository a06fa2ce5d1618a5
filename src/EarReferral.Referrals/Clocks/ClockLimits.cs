using System.Collections.Frozen;
using EarReferral.Referrals.Calendars;

namespace EarReferral.Referrals.Clocks;

/// <summary>How long each clock may run for each urgency.</summary>
/// <param name="Table">A limit for every urgency and clock.</param>
/// <param name="InWorkingDays">Limits whose days are working days; all others are hours and days of the calendar.</param>
public sealed record ClockLimits(
    FrozenDictionary<(ReferralUrgency Urgency, ReferralClock Clock), TimeSpan> Table,
    FrozenSet<(ReferralUrgency Urgency, ReferralClock Clock)> InWorkingDays)
{
    /// <summary>The defaults: our own proposal, to be confirmed by each clinic. No standard gives these times.</summary>
    /// <remarks>
    /// They are chosen so that the clocks counted from the decision run out while there is still time left to act within the
    /// tier: 4 hours, 24 hours (NICE NG98 1.1.2 "immediately"), 14 days (NICE NG98 1.1.2 "urgently"), 126 days (18 weeks, NHS
    /// Constitution). The deadline of the patient is never moved by a holiday. Only the limits that wait for an office to answer
    /// about what is not immediate are counted in working days.
    /// </remarks>
    public static ClockLimits Default { get; } = new(
        Rows().ToFrozenDictionary(row => row.Key, row => row.Limit),
        FrozenSet.Create<(ReferralUrgency, ReferralClock)>(
            (ReferralUrgency.Urgent, ReferralClock.TriageOutcome),
            (ReferralUrgency.SuspectedCancer, ReferralClock.TriageOutcome),
            (ReferralUrgency.Routine, ReferralClock.Acknowledge),
            (ReferralUrgency.Routine, ReferralClock.InformationReply)));

    /// <summary>The limit of one clock.</summary>
    public TimeSpan For(ReferralUrgency urgency, ReferralClock clock) => Table[(urgency, clock)];

    /// <summary>When a clock that counts from an instant runs out.</summary>
    public DateTimeOffset Expiry(ReferralUrgency urgency, ReferralClock clock, DateTimeOffset from, WorkingCalendar calendar) =>
        InWorkingDays.Contains((urgency, clock)) ? calendar.Add(from, For(urgency, clock).Days) : from + For(urgency, clock);

    private static IEnumerable<((ReferralUrgency, ReferralClock) Key, TimeSpan Limit)> Rows() =>
    [
        //                                   deliver         acknowledge     triage outcome  appointment     outcome         information reply
        .. Row(ReferralUrgency.Emergency, /*      */ Minutes(5), Minutes(15), Hours(1), Hours(2), Hours(24), Minutes(15)),
        .. Row(ReferralUrgency.Immediate, /*      */ Minutes(15), Hours(1), Hours(4), Hours(8), Days(2), Hours(1)),
        .. Row(ReferralUrgency.Urgent, /*         */ Hours(4), Days(1), Days(2), Days(7), Days(7), Days(1)),
        .. Row(ReferralUrgency.SuspectedCancer, /**/ Hours(4), Days(1), Days(2), Days(7), Days(7), Days(1)),
        .. Row(ReferralUrgency.Routine, /*        */ Days(1), Days(3), Days(14), Days(42), Days(28), Days(5)),
    ];

    private static IEnumerable<((ReferralUrgency, ReferralClock), TimeSpan)> Row(ReferralUrgency urgency, params TimeSpan[] limits) =>
        Enum.GetValues<ReferralClock>().Zip(limits, (clock, limit) => ((urgency, clock), limit));

    private static TimeSpan Minutes(int count) => TimeSpan.FromMinutes(count);

    private static TimeSpan Hours(int count) => TimeSpan.FromHours(count);

    private static TimeSpan Days(int count) => TimeSpan.FromDays(count);
}
