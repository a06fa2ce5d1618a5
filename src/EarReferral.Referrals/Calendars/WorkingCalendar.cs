using System.Collections.Frozen;

namespace EarReferral.Referrals.Calendars;

/// <summary>Which days people work: Monday to Friday without the bank holidays of a dated list.</summary>
/// <param name="Holidays">Bank holidays.</param>
/// <param name="ValidUntil">Last day that the list speaks for. Later only weekends are free, so that a clock runs out too early and never too late.</param>
/// <param name="Zone">Zone in which a day begins and ends.</param>
public sealed record WorkingCalendar(FrozenSet<DateOnly> Holidays, DateOnly ValidUntil, TimeZoneInfo Zone)
{
    /// <summary>True on a day that people work.</summary>
    public bool IsWorkingDay(DateOnly day) => day.DayOfWeek is not (DayOfWeek.Saturday or DayOfWeek.Sunday) && !Holidays.Contains(day);

    /// <summary>
    /// The same time of day, so many working days later; the day of the start does not count. From a free day it counts as from its end.
    /// </summary>
    public DateTimeOffset Add(DateTimeOffset start, int workingDays)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(workingDays);
        var local = TimeZoneInfo.ConvertTime(start, Zone);
        var day = DateOnly.FromDateTime(local.DateTime);
        for (var left = workingDays; left > 0;)
        {
            day = day.AddDays(1);
            left -= IsWorkingDay(day) ? 1 : 0;
        }

        var time = day.ToDateTime(TimeOnly.FromDateTime(local.DateTime));
        // An hour that the spring change of the clocks leaves out is read as the hour after it.
        var real = Zone.IsInvalidTime(time) ? time.AddHours(1) : time;
        return new DateTimeOffset(real, Zone.GetUtcOffset(real));
    }

    /// <summary>Days left until the list ends; negative after that.</summary>
    public int DaysLeft(DateTimeOffset now) => ValidUntil.DayNumber - DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(now, Zone).DateTime).DayNumber;
}
