using System.Text;
using EarReferral.Gateway.Pages.Desk;

namespace EarReferral.Pages.Tests;

/// <summary>Times and places in words. Sources: IANA time zone database for Europe/London; RFC 6901 for pointers.</summary>
public sealed class WordsTests
{
    [Theory]
    [InlineData("2026-01-15T12:00:00Z", "Thu 15 Jan 2026, 12:00 UTC")]
    [InlineData("2026-07-15T12:00:00Z", "Wed 15 Jul 2026, 13:00 UTC+01:00")]
    [InlineData("2026-10-25T00:30:00Z", "Sun 25 Oct 2026, 01:30 UTC+01:00")] // the hour that comes twice: first
    [InlineData("2026-10-25T01:30:00Z", "Sun 25 Oct 2026, 01:30 UTC")] // and second
    [InlineData("2026-03-29T01:00:00Z", "Sun 29 Mar 2026, 02:00 UTC+01:00")] // the hour that is left out
    public void Instant_IsShownOnTheClinicsClock_WithItsOffset(string instant, string shown) =>
        Assert.Equal(shown, DeskWords.At(DateTimeOffset.Parse(instant, System.Globalization.CultureInfo.InvariantCulture), "Europe/London"));

    [Theory]
    [InlineData(30, "less than a minute left")]
    [InlineData(60, "1 minute left")]
    [InlineData(-7200, "overdue by 2 hours")]
    [InlineData(8100, "2 h 15 min left")]
    [InlineData(100_000, "1 d 3 h left")]
    [InlineData(1_209_600, "14 days left")]
    public void Span_IsTwoUnitsAtMost(int seconds, string words)
    {
        var now = new DateTimeOffset(2026, 3, 31, 12, 0, 0, TimeSpan.Zero);
        Assert.Equal(words, DeskWords.Left(now.AddSeconds(seconds), now));
    }

    [Theory]
    [InlineData("", 1)]
    [InlineData("/a", 2)]
    [InlineData("/b/0", 4)]
    [InlineData("/b/1/c~1d", 6)]
    [InlineData("/b/1/missing", 5)]
    [InlineData("/gone", 1)]
    public void Pointer_LeadsToItsLine_OrToThatOfTheNearestPart(string pointer, int line)
    {
        var lines = DocumentLines.Of(Encoding.UTF8.GetBytes("{\n  \"a\": 1,\n  \"b\": [\n    true,\n    {\n      \"c/d\": \"x\"\n    }\n  ]\n}"));
        Assert.Equal(line, DocumentLines.Find(lines, pointer));
    }

    [Fact]
    public void FaultOfTheJson_HasTheLineAtWhichItStands() =>
        Assert.Equal(3, DocumentLines.Find(DocumentLines.Of("{\n \"a\": 1,\n oops\n}"u8), ""));
}
