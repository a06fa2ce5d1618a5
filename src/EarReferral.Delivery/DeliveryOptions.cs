namespace EarReferral.Delivery;

/// <summary>Where referrals go; configuration section <c>Delivery</c>.</summary>
public sealed class DeliveryOptions
{
    /// <summary>Name of the configuration section.</summary>
    public const string Section = "Delivery";

    /// <summary>Destinations by the name that the referral carries.</summary>
    public Dictionary<string, DestinationOptions> Destinations { get; } = new(StringComparer.Ordinal);

    /// <summary>How long a claimed referral belongs to one worker; renewed while it sends. 2 minutes unless said otherwise.</summary>
    public TimeSpan Lease { get; set; } = TimeSpan.FromMinutes(2);

    /// <summary>Longest sleep without a signal, in case another process queued something; 30 seconds unless said otherwise.</summary>
    public TimeSpan LongestSleep { get; set; } = TimeSpan.FromSeconds(30);
}
