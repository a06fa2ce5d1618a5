using System.Globalization;

namespace EarReferral.Encounters;

/// <summary>A date known to the year, the month or the day, as FHIR's <c>date</c> type writes it.</summary>
/// <param name="Year">Year, 1 to 9999.</param>
/// <param name="Month">Month, 1 to 12, or null when only the year is known.</param>
/// <param name="Day">Day of the month, or null when unknown.</param>
public readonly record struct PartialDate(int Year, int? Month = null, int? Day = null)
{
    /// <summary>The earliest day it can mean.</summary>
    public DateOnly Earliest => new(Year, Month ?? 1, Day ?? 1);

    /// <summary>The latest day it can mean.</summary>
    public DateOnly Latest => Day is { } day
        ? new DateOnly(Year, Month ?? 1, day)
        : new DateOnly(Year, Month ?? 12, DateTime.DaysInMonth(Year, Month ?? 12));

    /// <summary>Reads <c>YYYY</c>, <c>YYYY-MM</c> or <c>YYYY-MM-DD</c>.</summary>
    public static bool TryParse(string? text, out PartialDate date)
    {
        date = default;
        switch (text?.Length)
        {
            case 4 when int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var year) && year > 0:
                date = new PartialDate(year);
                return true;
            case 7 when DateOnly.TryParseExact(text, "yyyy-MM", CultureInfo.InvariantCulture, DateTimeStyles.None, out var month):
                date = new PartialDate(month.Year, month.Month);
                return true;
            case 10 when DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day):
                date = new PartialDate(day.Year, day.Month, day.Day);
                return true;
            default:
                return false;
        }
    }

    /// <inheritdoc />
    public override string ToString() => (Month, Day) switch
    {
        (null, _) => Year.ToString("D4", CultureInfo.InvariantCulture),
        ({ } month, null) => string.Create(CultureInfo.InvariantCulture, $"{Year:D4}-{month:D2}"),
        ({ } month, { } day) => string.Create(CultureInfo.InvariantCulture, $"{Year:D4}-{month:D2}-{day:D2}"),
    };
}
