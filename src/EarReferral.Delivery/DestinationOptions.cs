using EarReferral.Delivery.Authorisation;

namespace EarReferral.Delivery;

/// <summary>One ENT system that referrals are sent to; configuration section <c>Delivery:Destinations:{name}</c>.</summary>
public sealed class DestinationOptions
{
    /// <summary>Base address of the FHIR server; the transaction is posted to exactly this address.</summary>
    public Uri? BaseUrl { get; set; }

    /// <summary>Number to call when an emergency or immediate referral cannot be delivered; required unless <see cref="Tiers"/> leaves those out.</summary>
    public string? Phone { get; set; }

    /// <summary>ODS code of the organisation.</summary>
    public string? OdsCode { get; set; }

    /// <summary>Name of the organisation for people.</summary>
    public string? Name { get; set; }

    /// <summary>Tiers that are sent there; every tier when none is named.</summary>
    public IList<string> Tiers { get; } = [];

    /// <summary>Kind of service as the rules name it: <c>ent</c>, <c>gp</c>, <c>audiology</c>, <c>emergency</c> or <c>crisis-team</c>.</summary>
    public string Kind { get; set; } = "ent";

    /// <summary>When <see cref="Phone"/> is answered, such as <c>Mon-Fri 08:30-17:00</c>; at any hour when nothing is said.</summary>
    public string? OpeningHours { get; set; }

    /// <summary>Whom to call outside the hours, such as the on-call registrar.</summary>
    public string? OutOfHoursName { get; set; }

    /// <summary>Number to call outside the hours.</summary>
    public string? OutOfHoursPhone { get; set; }

    /// <summary>FHIR request priorities that the receiver knows; all four when none is named. The deadline is sent either way.</summary>
    public IList<string> AcceptedPriorities { get; } = [];

    /// <summary>Day on which numbers and address were last tried; null when never.</summary>
    public DateOnly? LastTested { get; set; }

    /// <summary>How an access token for it is had; null where it wants none.</summary>
    public TokenOptions? Token { get; set; }

    /// <summary>Whether it is asked from time to time how the work on each open referral stands; yes unless said otherwise.</summary>
    public bool AskAboutTasks { get; set; } = true;

    /// <summary>File with the secret by which its Subscription notifications are known; null where it sends none.</summary>
    public string? NotificationSecretFile { get; set; }

    /// <summary>True when the tier may be sent there.</summary>
    public bool Takes(string tier) => Tiers.Count == 0 || Tiers.Contains(tier);

    /// <summary>True when routine referrals to this destination wait until a person at the clinic releases them.</summary>
    public bool HoldRoutine { get; set; }

    /// <summary>Longest wait for one answer; 30 seconds unless said otherwise, between 1 second and 5 minutes.</summary>
    public TimeSpan AttemptTimeout { get; set; } = TimeSpan.FromSeconds(30);

    /// <summary>
    /// How long the ENT system may still be storing a referral after we stopped waiting for its answer; 15 seconds unless said otherwise,
    /// between 1 second and 5 minutes. Until then nobody else brings it the same new patient, clinician or organisation.
    /// </summary>
    public TimeSpan SettlingTime { get; set; } = TimeSpan.FromSeconds(15);

    /// <summary>How many referrals are sent at once; 2 unless said otherwise, between 1 and 16.</summary>
    public int Lanes { get; set; } = 2;
}
