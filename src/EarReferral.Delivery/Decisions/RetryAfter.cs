using System.Globalization;

namespace EarReferral.Delivery.Decisions;

/// <summary>The Retry-After header, RFC 9110 10.2.3: seconds or an HTTP-date (5.6.7, with its two obsolete forms).</summary>
internal static class RetryAfter
{
    private static readonly TimeSpan Longest = TimeSpan.FromDays(30);

    private static readonly string[] HttpDates = ["r", "dddd, dd-MMM-yy HH:mm:ss 'GMT'", "ddd MMM d HH:mm:ss yyyy"];

    /// <summary>The wait asked for; null when there is none, it is not readable, or it lies in the past.</summary>
    /// <param name="header">The header's value.</param>
    /// <param name="receiverNow">The answer's Date, so that a date is measured on the clock that made it.</param>
    public static TimeSpan? Read(string? header, DateTimeOffset receiverNow)
    {
        var text = header?.Trim() ?? string.Empty;
        if (text.Length > 0 && text.All(char.IsAsciiDigit))
        {
            // A number too long to read is still a wish to wait long.
            return Positive(int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var seconds) ? TimeSpan.FromSeconds(seconds) : Longest);
        }

        return DateTimeOffset.TryParseExact(text, HttpDates, CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal | DateTimeStyles.AllowInnerWhite, out var date)
            ? Positive(date - receiverNow)
            : null;
    }

    private static TimeSpan? Positive(TimeSpan wait) => wait <= TimeSpan.Zero ? null : wait > Longest ? Longest : wait;
}
