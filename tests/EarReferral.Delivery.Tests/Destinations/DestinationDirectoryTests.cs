using System.Globalization;
using EarReferral.Delivery.Calendars;
using EarReferral.Delivery.Destinations;
using EarReferral.Referrals.Destinations;
using Microsoft.Extensions.Options;

namespace EarReferral.Delivery.Tests.Destinations;

public sealed class DestinationDirectoryTests
{
    [Theory]
    [InlineData("2026-03-06T16:59:00+00:00", "Westerquay General, ENT department", "01632 960107")]
    [InlineData("2026-03-06T17:30:00+00:00", "ENT registrar on call", "01632 960199")] // T1 on Friday 17:30
    [InlineData("2026-04-03T11:00:00+01:00", "ENT registrar on call", "01632 960199")] // Good Friday 2026
    [InlineData("2026-12-25T11:00:00+00:00", "ENT registrar on call", "01632 960199")] // Christmas Day
    public void Whom_to_telephone_changes_with_the_hour(string at, string name, string phone)
    {
        var contact = Directory().ContactAt("westerquay-ent", DateTimeOffset.Parse(at, CultureInfo.InvariantCulture))!;

        Assert.Equal((name, phone), (contact.Name, contact.Phone));
    }

    [Fact]
    public void Unknown_destination_has_no_contact() => Assert.Null(Directory().ContactAt("nowhere", DateTimeOffset.UnixEpoch));

    [Theory]
    [InlineData(2010, 3, 3, AgeGroup.Child)] // 16 tomorrow
    [InlineData(2010, 3, 2, AgeGroup.Adult)] // 16 today
    public void Patient_is_a_child_until_the_birthday(int year, int month, int day, AgeGroup age) =>
        Assert.Equal(age, Directory().Age(new DateOnly(year, month, day), new DateOnly(2026, 3, 2)));

    private static DestinationDirectory Directory()
    {
        var options = new DeliveryOptions();
        options.Destinations["westerquay-ent"] = new DestinationOptions
        {
            Name = "Westerquay General, ENT department",
            Phone = "01632 960107",
            OpeningHours = "Mon-Fri 08:30-17:00",
            OutOfHoursName = "ENT registrar on call",
            OutOfHoursPhone = "01632 960199",
        };
        return new DestinationDirectory(Options.Create(options), CalendarFile.Load(null));
    }
}
