using System.Collections.Frozen;
using System.Globalization;
using EarReferral.Referrals.Calendars;
using EarReferral.Referrals.Clocks;

namespace EarReferral.Referrals.Tests.Clocks;

/// <summary>Clocks over weekends and bank holidays; holidays as published by the UK government for England and Wales, limits our own.</summary>
public sealed class WorkingDayClocksTests
{
    [Theory]
    // T1 on Friday 17:30: hours are hours, whoever has gone home.
    [InlineData("2026-03-06T17:30:00+00:00", ReferralUrgency.Immediate, ReferralClock.Acknowledge, "2026-03-06T18:30:00+00:00")]
    [InlineData("2026-03-06T17:30:00+00:00", ReferralUrgency.Immediate, ReferralClock.TriageOutcome, "2026-03-06T21:30:00+00:00")]
    // T2 on the Thursday before Easter 2026 (Good Friday 3 April, Easter Monday 6 April): two working days are Tuesday and Wednesday.
    [InlineData("2026-04-02T15:00:00+01:00", ReferralUrgency.Urgent, ReferralClock.TriageOutcome, "2026-04-08T15:00:00+01:00")]
    // What the patient waits for is not moved: the visit must be booked 7 days of the calendar after the decision.
    [InlineData("2026-04-02T15:00:00+01:00", ReferralUrgency.Urgent, ReferralClock.Appointment, "2026-04-09T15:00:00+01:00")]
    [InlineData("2026-04-02T15:00:00+01:00", ReferralUrgency.SuspectedCancer, ReferralClock.TriageOutcome, "2026-04-08T15:00:00+01:00")]
    // 25 December 2026 is a Friday, and Monday 28 stands in for Boxing Day: 29, 30 and 31 are the three working days.
    [InlineData("2026-12-25T10:00:00+00:00", ReferralUrgency.Routine, ReferralClock.Acknowledge, "2026-12-31T10:00:00+00:00")]
    [InlineData("2026-12-25T10:00:00+00:00", ReferralUrgency.Emergency, ReferralClock.Acknowledge, "2026-12-25T10:15:00+00:00")]
    // Over the change to summer time on 29 March 2026 the time of day stays.
    [InlineData("2026-03-27T09:00:00+00:00", ReferralUrgency.Urgent, ReferralClock.TriageOutcome, "2026-03-31T09:00:00+01:00")]
    public void Limit_IsCountedAsItsRuleSays(string from, ReferralUrgency urgency, ReferralClock clock, string expires) =>
        Assert.Equal(At(expires), ClockLimits.Default.Expiry(urgency, clock, At(from), EnglishCalendar.Value));

    [Fact]
    public void NewHoliday_MovesOnlyClocksWhoseRuleSaysWorkingDays()
    {
        // Thursday 2 April 2026 to Wednesday 8: every day of it becomes a holiday.
        var more = EnglishCalendar.Value with
        {
            Holidays = EnglishCalendar.Value.Holidays.Concat(Enumerable.Range(2, 20).Select(day => new DateOnly(2026, 4, day))).ToFrozenSet(),
        };
        var from = At("2026-04-01T15:00:00+01:00");

        var moved = Enum.GetValues<ReferralUrgency>()
            .SelectMany(urgency => Enum.GetValues<ReferralClock>().Select(clock => (urgency, clock)))
            .Where(each => ClockLimits.Default.Expiry(each.urgency, each.clock, from, more) != ClockLimits.Default.Expiry(each.urgency, each.clock, from, EnglishCalendar.Value));

        Assert.Equal(ClockLimits.Default.InWorkingDays.Order(), moved.Order());
    }

    [Fact]
    public void DayAfterTheListEnds_CountsAsWorkedSoThatTheClockIsNeverLate() =>
        Assert.Equal(At("2027-01-01T10:00:00+00:00"), EnglishCalendar.Value.Add(At("2026-12-31T10:00:00+00:00"), 1));

    [Fact]
    public void DaysUntilTheListEnds_AreTold() =>
        Assert.Equal((1, -1), (EnglishCalendar.Value.DaysLeft(At("2026-12-30T23:30:00+00:00")), EnglishCalendar.Value.DaysLeft(At("2027-01-01T00:00:00+00:00"))));

    [Theory]
    [InlineData("2026-03-06T16:59:00+00:00", true)] // Friday before closing
    [InlineData("2026-03-06T17:30:00+00:00", false)] // Friday 17:30
    [InlineData("2026-03-07T10:00:00+00:00", true)] // Saturday morning
    [InlineData("2026-04-03T10:00:00+01:00", false)] // Good Friday 2026
    [InlineData("2026-12-25T10:00:00+00:00", false)] // Christmas Day 2026, a Friday
    [InlineData("2026-06-01T08:15:00+01:00", false)] // 07:15 UTC: hours are those of the clinic's country
    public void OpeningHours_AreReadInTheZoneAndNeverOnAHoliday(string at, bool open) =>
        Assert.Equal(open, OpeningHours.Parse("Mon-Fri 08:30-17:00; Sat 09:00-12:00")!.IsOpen(At(at), EnglishCalendar.Value));

    [Theory]
    [InlineData("")]
    [InlineData("weekdays")]
    [InlineData("Mon-Fri 8:30-17:00")]
    [InlineData("Fri-Mon 08:30-17:00")]
    [InlineData("Mon 17:00-08:30")]
    [InlineData("Mon-Fri 08:30-17:00; Sun")]
    public void HoursThatCannotBeRead_AreNotGuessed(string text) => Assert.Null(OpeningHours.Parse(text));

    private static DateTimeOffset At(string text) => DateTimeOffset.Parse(text, CultureInfo.InvariantCulture);
}
