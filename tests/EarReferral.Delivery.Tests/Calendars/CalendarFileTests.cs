using EarReferral.Delivery.Calendars;

namespace EarReferral.Delivery.Tests.Calendars;

/// <summary>The list that comes with the program against the rules behind it, worked out another way.</summary>
public sealed class CalendarFileTests
{
    /// <summary>
    /// Days: Banking and Financial Dealings Act 1971, schedule 1, with New Year's Day, Good Friday and the May Day holiday as proclaimed and at common law. A day
    /// at the weekend is given on the next weekday that is free (UK government's page on bank holidays).
    /// </summary>
    [Theory]
    [InlineData(2025)]
    [InlineData(2026)]
    [InlineData(2027)]
    public void Year_has_exactly_the_days_of_the_law(int year)
    {
        var easter = Easter(year);
        var christmas = new DateOnly(year, 12, 25);
        var first = Substitute(christmas, []);
        DateOnly[] expected =
        [
            Substitute(new DateOnly(year, 1, 1), []), easter.AddDays(-2), easter.AddDays(1), Monday(year, 5, first: true), Monday(year, 5, first: false), Monday(year, 8, first: false),
            first, Substitute(christmas.AddDays(1), [first]),
        ];

        Assert.Equal(expected.Order(), CalendarFile.Load(null).Holidays.Where(day => day.Year == year).Order());
    }

    [Fact]
    public void List_speaks_for_whole_years_and_says_until_when() =>
        Assert.Equal(new DateOnly(CalendarFile.Load(null).Holidays.Max(day => day.Year), 12, 31), CalendarFile.Load(null).ValidUntil);

    [Theory]
    [InlineData("{}")]
    [InlineData("not json")]
    [InlineData("""{"source":"x","division":"x","timeZone":"Nowhere/Nowhere","validUntil":"2027-12-31","holidays":[]}""")]
    public void File_that_is_no_list_is_refused_at_start(string text)
    {
        var path = Path.Combine(Directory.CreateTempSubdirectory("calendar-").FullName, "list.json");
        File.WriteAllText(path, text);

        Assert.Throws<InvalidDataException>(() => CalendarFile.Load(path));
    }

    private static DateOnly Substitute(DateOnly day, DateOnly[] taken)
    {
        while (day.DayOfWeek is DayOfWeek.Saturday or DayOfWeek.Sunday || taken.Contains(day))
        {
            day = day.AddDays(1);
        }

        return day;
    }

    private static DateOnly Monday(int year, int month, bool first)
    {
        var day = first ? new DateOnly(year, month, 1) : new DateOnly(year, month, 31);
        while (day.DayOfWeek != DayOfWeek.Monday)
        {
            day = day.AddDays(first ? 1 : -1);
        }

        return day;
    }

    /// <summary>Easter Sunday by the anonymous Gregorian method (Meeus, Astronomical Algorithms, chapter 8).</summary>
    private static DateOnly Easter(int year)
    {
        var (a, b, c) = (year % 19, year / 100, year % 100);
        var h = ((19 * a) + b - (b / 4) - ((b - ((b + 8) / 25) + 1) / 3) + 15) % 30;
        var l = (32 + (2 * (b % 4)) + (2 * (c / 4)) - h - (c % 4)) % 7;
        var sum = h + l - (7 * ((a + (11 * h) + (22 * l)) / 451)) + 114;
        return new DateOnly(year, sum / 31, (sum % 31) + 1);
    }
}
