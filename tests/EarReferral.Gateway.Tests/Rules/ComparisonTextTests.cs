using EarReferral.Gateway.Rules;

namespace EarReferral.Gateway.Tests.Rules;

public sealed class ComparisonTextTests
{
    private static readonly DateTimeOffset DecidedAt = new(2026, 3, 31, 10, 0, 0, TimeSpan.Zero);

    // RFC 4180, 2.6 and 2.7: a field with comma or quote is quoted, a quote doubled.
    [Fact]
    public void Csv_QuotesWhatRfc4180Asks()
    {
        var lines = ComparisonText.Csv(Report("HL-7, \"again\"")).Split("\r\n");

        Assert.Equal(10, lines[0].Split(',').Length);
        Assert.StartsWith("harbour-lane,\"HL-7, \"\"again\"\"\",1,2026-03-31 10:00 +00:00,T4,T2,", lines[1], StringComparison.Ordinal);
    }

    [Fact]
    public void Csv_OfANumberThatLooksLikeAFormula_IsNotOne() =>
        Assert.Contains(",'=HYPERLINK(1),", ComparisonText.Csv(Report("=HYPERLINK(1)")), StringComparison.Ordinal);

    [Fact]
    public void Html_EscapesWhatTheClinicWrote()
    {
        var page = ComparisonText.Html(Report("<script>alert(1)</script>"));

        Assert.DoesNotContain("<script", page, StringComparison.Ordinal);
        Assert.Contains("&lt;script&gt;", page, StringComparison.Ordinal);
        Assert.Contains("1 could not be decided again", page, StringComparison.Ordinal);
    }

    private static ComparisonReport Report(string encounterId) => new(
        "2.0.0 00", null, 1, 1, 0, 1,
        [new ComparedEncounter("harbour-lane", encounterId, 1, DecidedAt, "1.0.0", new DecisionDifference("T4", "T2", ["A right ear T2"], [], [], []))],
        [new EncounterNotCompared("harbour-lane", "HL-8", 1, "no decision is stored")]);
}
