using System.Globalization;

namespace EarReferral.Referrals.Calendars;

/// <summary>When somebody answers a telephone: weekdays with hours, never on a bank holiday.</summary>
public sealed class OpeningHours
{
    private static readonly string[] Days = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];

    private readonly IReadOnlyList<(int First, int Last, TimeOnly From, TimeOnly To)> spans;

    private OpeningHours(IReadOnlyList<(int First, int Last, TimeOnly From, TimeOnly To)> spans) => this.spans = spans;

    /// <summary>Reads words such as <c>Mon-Fri 08:30-17:00; Sat 09:00-12:00</c>; null when they cannot be read.</summary>
    public static OpeningHours? Parse(string text)
    {
        var spans = text.Split(';', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries).Select(Span).ToList();
        return spans.Count > 0 && spans.TrueForAll(span => span is not null) ? new OpeningHours([.. spans.Select(span => span!.Value)]) : null;
    }

    /// <summary>True when somebody answers then. The closing time itself is closed.</summary>
    public bool IsOpen(DateTimeOffset instant, WorkingCalendar calendar)
    {
        var local = TimeZoneInfo.ConvertTime(instant, calendar.Zone);
        var (day, time) = (((int)local.DayOfWeek + 6) % 7, TimeOnly.FromDateTime(local.DateTime));
        return !calendar.Holidays.Contains(DateOnly.FromDateTime(local.DateTime))
            && spans.Any(span => day >= span.First && day <= span.Last && time >= span.From && time < span.To);
    }

    private static (int First, int Last, TimeOnly From, TimeOnly To)? Span(string text)
    {
        var parts = text.Split(' ', StringSplitOptions.RemoveEmptyEntries);
        if (parts.Length != 2)
        {
            return null;
        }

        var (days, hours) = (parts[0].Split('-'), parts[1].Split('-'));
        var (first, last) = (Array.IndexOf(Days, days[0]), Array.IndexOf(Days, days[^1]));
        return days.Length <= 2 && hours.Length == 2 && first >= 0 && last >= first
            && Time(hours[0]) is { } from && Time(hours[1]) is { } to && from < to
            ? (first, last, from, to)
            : null;
    }

    private static TimeOnly? Time(string text) =>
        TimeOnly.TryParseExact(text, "HH:mm", CultureInfo.InvariantCulture, DateTimeStyles.None, out var time) ? time : null;
}
