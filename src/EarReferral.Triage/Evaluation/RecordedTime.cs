using System.Globalization;

namespace EarReferral.Triage.Evaluation;

/// <summary>A FHIR date or dateTime as the span of instants that it can mean.</summary>
/// <param name="Earliest">First instant.</param>
/// <param name="Latest">Last instant; the same for a full instant.</param>
internal readonly record struct RecordedTime(DateTimeOffset Earliest, DateTimeOffset Latest)
{
    private static readonly string[] Formats = ["yyyy", "yyyy-MM", "yyyy-MM-dd"];

    /// <summary>Reads a date of the clinic's calendar or an instant; null for text that is neither.</summary>
    public static RecordedTime? Read(string text, TimeZoneInfo zone)
    {
        if (text.Contains('T', StringComparison.Ordinal))
        {
            return DateTimeOffset.TryParse(text, CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal, out var instant)
                ? new RecordedTime(instant, instant)
                : null;
        }

        if (!DateOnly.TryParseExact(text, Formats, CultureInfo.InvariantCulture, DateTimeStyles.None, out var first))
        {
            return null;
        }

        var next = text.Length switch { 4 => first.AddYears(1), 7 => first.AddMonths(1), _ => first.AddDays(1) };
        return new RecordedTime(StartOf(first, zone), StartOf(next, zone).AddTicks(-1));
    }

    private static DateTimeOffset StartOf(DateOnly day, TimeZoneInfo zone)
    {
        var midnight = day.ToDateTime(TimeOnly.MinValue);
        var existing = zone.IsInvalidTime(midnight) ? midnight.AddHours(1) : midnight;
        return new DateTimeOffset(existing, zone.GetUtcOffset(existing));
    }
}
