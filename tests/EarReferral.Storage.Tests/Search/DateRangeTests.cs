using EarReferral.Storage.Search;

namespace EarReferral.Storage.Tests.Search;

public sealed class DateRangeTests
{
    [Theory]
    [InlineData("2024-07-02", "2024-07-01T23:00:00Z", "2024-07-02T23:00:00Z", "a day in London's summer time")]
    [InlineData("2024-03-31", "2024-03-31T00:00:00Z", "2024-03-31T23:00:00Z", "the day the clocks go forward has 23 hours")]
    [InlineData("2024-10-27", "2024-10-26T23:00:00Z", "2024-10-28T00:00:00Z", "the day they go back has 25")]
    [InlineData("2024-02", "2024-02-01T00:00:00Z", "2024-03-01T00:00:00Z", "a leap year's February")]
    [InlineData("2024", "2024-01-01T00:00:00Z", "2025-01-01T00:00:00Z", "a year")]
    [InlineData("2024-03-10T09:15+01:00", "2024-03-10T08:15:00Z", "2024-03-10T08:16:00Z", "a minute; seconds may be left out in a search")]
    [InlineData("2024-03-10T09:15:00Z", "2024-03-10T09:15:00Z", "2024-03-10T09:15:01Z", "a second")]
    [InlineData("2024-03-10T09:15:00.25-02:30", "2024-03-10T11:45:00.250Z", "2024-03-10T11:45:00.251Z", "a millisecond")]
    public void Value_CoversItsPrecision(string text, string from, string to, string reason)
    {
        Assert.True(DateRange.Parse(text) == new DateRange(Milliseconds(from), Milliseconds(to)), reason);
    }

    [Theory]
    [InlineData("")]
    [InlineData("2024-1-1")]
    [InlineData("2024-03-10T09")]
    [InlineData("2024-03-10T24:00:00Z")]
    [InlineData("2024-03-10T09:15:00+15:00")]
    [InlineData("2023-02-29")]
    [InlineData("0000")]
    public void OtherText_IsNoDate(string text) => Assert.Null(DateRange.Parse(text));

    private static long Milliseconds(string time) =>
        DateTimeOffset.Parse(time, System.Globalization.CultureInfo.InvariantCulture).ToUnixTimeMilliseconds();
}
