using EarReferral.Delivery.Destinations;

namespace EarReferral.Delivery;

/// <summary>Where referrals go; configuration section <c>Delivery</c>.</summary>
public sealed class DeliveryOptions
{
    /// <summary>Name of the configuration section.</summary>
    public const string Section = "Delivery";

    /// <summary>Destinations by the name that the referral carries.</summary>
    public Dictionary<string, DestinationOptions> Destinations { get; } = new(StringComparer.Ordinal);

    /// <summary>Which cases go to another destination than the clinic's own, in the order in which they are tried.</summary>
    public IList<RouteOptions> Routes { get; } = [];

    /// <summary>Age in whole years from which a patient is sent as an adult; 16 unless said otherwise (common practice, no source).</summary>
    public int AdultFromAge { get; set; } = 16;

    /// <summary>A dated list of bank holidays; the published one of England and Wales unless a file is named.</summary>
    public string? CalendarFile { get; set; }

    /// <summary>How long a claimed referral belongs to one worker; renewed while it sends. 2 minutes unless said otherwise.</summary>
    public TimeSpan Lease { get; set; } = TimeSpan.FromMinutes(2);

    /// <summary>Longest sleep without a signal, in case another process queued something; 30 seconds unless said otherwise.</summary>
    public TimeSpan LongestSleep { get; set; } = TimeSpan.FromSeconds(30);
}
