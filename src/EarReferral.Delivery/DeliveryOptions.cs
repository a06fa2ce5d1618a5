using EarReferral.Delivery.Destinations;
using EarReferral.Delivery.Notices;

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

    /// <summary>Address of this gateway as messages name their source; set from <c>Gateway:PublicBaseUrl</c> where nothing is said.</summary>
    public Uri Source { get; set; } = new("https://ear-referral.example/fhir");

    /// <summary>How long a claimed referral belongs to one worker; renewed every third of it while it sends. 15 seconds unless said otherwise: so long after a machine died, another may take its work.</summary>
    public TimeSpan Lease { get; set; } = TimeSpan.FromSeconds(15);

    /// <summary>Longest sleep without a signal, in case another process queued something or died; 4 seconds unless said otherwise.</summary>
    public TimeSpan LongestSleep { get; set; } = TimeSpan.FromSeconds(2);

    /// <summary>Clinics whose software is told of changes of their referrals, by clinic id.</summary>
    public Dictionary<string, NoticeOptions> Notices { get; } = new(StringComparer.Ordinal);
}
