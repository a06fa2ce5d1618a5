using System.Globalization;
using System.Text.RegularExpressions;

namespace EarReferral.Storage.Search;

/// <summary>A half-open span of time [From, To) in Unix milliseconds; an open end is the extreme value.</summary>
/// <remarks>
/// FHIR R4 search reads every date as the span that its precision covers. Values without a time zone are read in
/// Europe/London, where the practices are.
/// </remarks>
internal readonly partial record struct DateRange(long From, long To)
{
    private static readonly TimeZoneInfo London = TimeZoneInfo.FindSystemTimeZoneById("Europe/London");

    /// <summary>The span of a FHIR date, dateTime or instant, or null when the text is none.</summary>
    public static DateRange? Parse(string? text)
    {
        if (text is null || Pattern().Match(text) is not { Success: true } match)
        {
            return null;
        }

        var (year, month, day) = (Number(match, "year", 1), Number(match, "month", 1), Number(match, "day", 1));
        var (hour, minute, second) = (Number(match, "hour", 0), Number(match, "minute", 0), Number(match, "second", 0));
        if (year is 0 or 9999 || month is < 1 or > 12 || day < 1 || day > DateTime.DaysInMonth(year, month)
            || hour > 23 || minute > 59 || second > 59)
        {
            return null;
        }

        var start = new DateTime(year, month, day, hour, minute, second, DateTimeKind.Unspecified);
        if (match.Groups["fraction"] is { Success: true } fraction)
        {
            start = start.AddMilliseconds(int.Parse(fraction.Value.PadRight(3, '0')[..3], CultureInfo.InvariantCulture));
        }

        var end = match switch
        {
            _ when match.Groups["fraction"].Success => start.AddMilliseconds(1),
            _ when match.Groups["second"].Success => start.AddSeconds(1),
            _ when match.Groups["hour"].Success => start.AddMinutes(1),
            _ when match.Groups["day"].Success => start.AddDays(1),
            _ when match.Groups["month"].Success => start.AddMonths(1),
            _ => start.AddYears(1),
        };
        return Offset(match.Groups["zone"].Value) is not { } offset
            ? null
            : new DateRange(Milliseconds(start, offset.At(start)), Milliseconds(end, offset.At(end)));
    }

    /// <summary>The span from the start of one value to the end of another; a missing value leaves that end open.</summary>
    public static DateRange? Between(string? start, string? end) => (start, end, Parse(start), Parse(end)) switch
    {
        (null, null, _, _) or (not null, _, null, _) or (_, not null, _, null) => null,
        var (_, _, from, to) => new DateRange(from?.From ?? long.MinValue, to?.To ?? long.MaxValue),
    };

    private static int Number(Match match, string group, int otherwise) =>
        match.Groups[group] is { Success: true } found ? int.Parse(found.Value, CultureInfo.InvariantCulture) : otherwise;

    private static ZoneOffset? Offset(string zone)
    {
        switch (zone)
        {
            case "":
                return new ZoneOffset(null);
            case "Z":
                return new ZoneOffset(TimeSpan.Zero);
            default:
                var (hours, minutes) = (int.Parse(zone[1..3], CultureInfo.InvariantCulture), int.Parse(zone[4..], CultureInfo.InvariantCulture));
                var size = new TimeSpan(hours, minutes, 0);
                return hours > 14 || minutes > 59 ? null : new ZoneOffset(zone[0] == '-' ? -size : size);
        }
    }

    private static long Milliseconds(DateTime local, TimeSpan offset) =>
        (long)(local - offset - DateTime.UnixEpoch).TotalMilliseconds;

    [GeneratedRegex(
        @"^(?<year>\d{4})(-(?<month>\d{2})(-(?<day>\d{2})(T(?<hour>\d{2}):(?<minute>\d{2})(:(?<second>\d{2})(\.(?<fraction>\d{1,9}))?)?(?<zone>Z|[+-]\d{2}:\d{2})?)?)?)?$",
        RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture)]
    private static partial Regex Pattern();

    /// <summary>A stated offset, or London's at the time.</summary>
    private readonly record struct ZoneOffset(TimeSpan? Stated)
    {
        public TimeSpan At(DateTime local) => Stated ?? London.GetUtcOffset(local);
    }
}
