using EarReferral.Gateway.Reports;

namespace EarReferral.Gateway.Tests.Reports;

/// <summary>Common practice of published health figures in England, the limit from memory: below five is hidden, nought is not.</summary>
public sealed class SmallNumbersTests
{
    [Theory]
    [InlineData(true, "12 9 3", "12|not shown|fewer than 5")]
    [InlineData(true, "12 4 3", "12|fewer than 5|fewer than 5")]
    [InlineData(true, "0 5 1", "0|not shown|fewer than 5")]
    [InlineData(false, "12 9 3", "12|9|fewer than 5")]
    [InlineData(true, "0 0 2", "0|0|fewer than 5")]
    [InlineData(true, "7 6 5", "7|6|5")]
    public void SmallCountsAreHidden_AndWhatWouldGiveThemAway(bool isWhole, string counts, string shown)
    {
        var group = new ReportGroup("Ears", "ears", isWhole, [.. counts.Split(' ').Select((count, at) => new ReportFigure($"f{at}", "figure", [.. Enumerable.Range(0, int.Parse(count, System.Globalization.CultureInfo.InvariantCulture)).Select(_ => new CountedItem(null, "HL-1", DateTimeOffset.UnixEpoch))]))]);

        Assert.Equal(shown, string.Join('|', SmallNumbers.Show(group, hide: true)));
        Assert.Equal(counts, string.Join(' ', SmallNumbers.Show(group, hide: false)));
    }
}
