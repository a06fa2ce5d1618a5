using System.Globalization;

namespace EarReferral.Summary.Pages;

/// <summary>Dates and times of a record as people read them, on the clock of the clinic, which is the one that the record was written by.</summary>
internal static class PlainTime
{
    /// <summary>"14 June 1987", "June 1987", "31 March 2026, 10:44"; what is no date stays as it was written.</summary>
    public static string Of(string? value) => value switch
    {
        null or "" => "not recorded",
        { Length: 10 } when DateOnly.TryParseExact(value, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day) => day.ToString("d MMMM yyyy", CultureInfo.InvariantCulture),
        { Length: 7 } when DateOnly.TryParseExact(value + "-01", "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var month) => month.ToString("MMMM yyyy", CultureInfo.InvariantCulture),
        { Length: > 10 } when DateTimeOffset.TryParse(value, CultureInfo.InvariantCulture, DateTimeStyles.None, out var instant) => instant.ToString("d MMMM yyyy, HH:mm", CultureInfo.InvariantCulture),
        _ => value,
    };
}
