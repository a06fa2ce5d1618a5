namespace EarReferral.Delivery;

/// <summary>One ENT system that referrals are sent to; configuration section <c>Delivery:Destinations:{name}</c>.</summary>
public sealed class DestinationOptions
{
    /// <summary>Base address of the FHIR server; the transaction is posted to exactly this address.</summary>
    public Uri? BaseUrl { get; set; }

    /// <summary>Number to call when an emergency or immediate referral cannot be delivered; every destination may get one, so every one needs it.</summary>
    public string? Phone { get; set; }

    /// <summary>ODS code of the organisation.</summary>
    public string? OdsCode { get; set; }

    /// <summary>Name of the organisation for people.</summary>
    public string? Name { get; set; }

    /// <summary>True when routine referrals to this destination wait until a person at the clinic releases them.</summary>
    public bool HoldRoutine { get; set; }

    /// <summary>Longest wait for one answer; 30 seconds unless said otherwise, between 1 second and 5 minutes.</summary>
    public TimeSpan AttemptTimeout { get; set; } = TimeSpan.FromSeconds(30);

    /// <summary>How many referrals are sent at once; 2 unless said otherwise, between 1 and 16.</summary>
    public int Lanes { get; set; } = 2;
}
