using EarReferral.Referrals.Calendars;
using EarReferral.Referrals.Destinations;
using Microsoft.Extensions.Options;

namespace EarReferral.Delivery.Destinations;

/// <summary>Chooses the destination of a case and knows whom to telephone when.</summary>
public sealed class DestinationDirectory(IOptions<DeliveryOptions> options, WorkingCalendar calendar)
{
    private readonly List<Route> routes = [.. options.Value.Routes.Select(route => route.ToRoute())];

    /// <summary>Name of the destination: the first line of the directory that takes the case, else the clinic's own.</summary>
    public string Choose(RoutedCase routed, string clinicsOwn) => Route.Choose(routes, routed, clinicsOwn);

    /// <summary>Adult or child on a day.</summary>
    public AgeGroup Age(DateOnly birth, DateOnly day) => day < birth.AddYears(options.Value.AdultFromAge) ? AgeGroup.Child : AgeGroup.Adult;

    /// <summary>True when the destination is a GP practice; false also when this machine does not know it.</summary>
    public bool IsPractice(string name) => options.Value.Destinations.GetValueOrDefault(name)?.Kind == "gp";

    /// <summary>Every number of a destination, in words for a letter that is read at an hour nobody knows; empty when this machine knows none.</summary>
    public IReadOnlyList<string> Numbers(string name)
    {
        if (options.Value.Destinations.GetValueOrDefault(name) is not { } destination)
        {
            return [];
        }

        var hours = destination.OpeningHours is { } open ? $" ({open})" : string.Empty;
        return
        [
            .. destination.Phone is { } phone ? [$"{destination.Name}{hours}: {phone}"] : Array.Empty<string>(),
            .. destination.OutOfHoursPhone is { } other ? [$"{destination.OutOfHoursName ?? destination.Name}, at all other hours: {other}"] : Array.Empty<string>(),
        ];
    }

    /// <summary>Whom to telephone then; null when this machine does not know the destination.</summary>
    public Contact? ContactAt(string name, DateTimeOffset at)
    {
        if (options.Value.Destinations.GetValueOrDefault(name) is not { } destination)
        {
            return null;
        }

        var open = destination.OpeningHours is not { } hours || OpeningHours.Parse(hours)!.IsOpen(at, calendar);
        return open || destination.OutOfHoursPhone is null
            ? new Contact(destination.Name!, destination.Phone, OutOfHours: false)
            : new Contact(destination.OutOfHoursName ?? destination.Name!, destination.OutOfHoursPhone, OutOfHours: true);
    }
}
