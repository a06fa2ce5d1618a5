using System.Collections.Frozen;
using EarReferral.Referrals.Calendars;

namespace EarReferral.Referrals.Tests.Clocks;

/// <summary>Bank holidays around the vectors. Source: the UK government's published bank holidays for England and Wales, 2026.</summary>
internal static class EnglishCalendar
{
    public static readonly TimeZoneInfo Zone = TimeZoneInfo.FindSystemTimeZoneById("Europe/London");

    public static readonly WorkingCalendar Value = new(
        FrozenSet.Create(new DateOnly(2026, 4, 3), new DateOnly(2026, 4, 6), new DateOnly(2026, 12, 25), new DateOnly(2026, 12, 28)), new DateOnly(2026, 12, 31), Zone);
}
