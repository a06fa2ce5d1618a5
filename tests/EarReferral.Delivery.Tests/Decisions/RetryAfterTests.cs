using EarReferral.Delivery.Decisions;

namespace EarReferral.Delivery.Tests.Decisions;

/// <summary>RFC 9110 10.2.3 and 5.6.7.</summary>
public sealed class RetryAfterTests
{
    private static readonly DateTimeOffset ReceiverNow = new(1994, 11, 6, 8, 48, 7, TimeSpan.Zero);

    [Theory]
    [InlineData("120", 120)] // RFC 9110 10.2.3, example
    [InlineData(" 7 ", 7)] // optional white space around a field value
    [InlineData("Sun, 06 Nov 1994 08:49:37 GMT", 90)] // RFC 9110 5.6.7, IMF-fixdate
    [InlineData("Sunday, 06-Nov-94 08:49:37 GMT", 90)] // RFC 9110 5.6.7, obsolete RFC 850 form
    [InlineData("Sun Nov  6 08:49:37 1994", 90)] // RFC 9110 5.6.7, obsolete asctime form
    public void Wait_is_read_in_both_forms(string header, int seconds) =>
        Assert.Equal(TimeSpan.FromSeconds(seconds), RetryAfter.Read(header, ReceiverNow));

    [Theory]
    [InlineData(null)] // no header
    [InlineData("")]
    [InlineData("0")] // no wait at all: our own backoff is the kinder one
    [InlineData("soon")]
    [InlineData("-5")] // not in the grammar
    [InlineData("1.5")] // not in the grammar
    [InlineData("Sun, 06 Nov 1994 08:48:07 GMT")] // now
    [InlineData("Sun, 06 Nov 1994 08:00:00 GMT")] // past
    public void Anything_else_leaves_the_wait_to_our_own_backoff(string? header) =>
        Assert.Null(RetryAfter.Read(header, ReceiverNow));

    [Theory]
    [InlineData("99999999999999999999")]
    [InlineData("2147483647")]
    public void Absurdly_long_wait_is_capped(string header) =>
        Assert.Equal(TimeSpan.FromDays(30), RetryAfter.Read(header, ReceiverNow));
}
