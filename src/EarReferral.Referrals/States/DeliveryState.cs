namespace EarReferral.Referrals.States;

/// <summary>Where the referral is on its way to the ENT system; says nothing about what that system then does with it.</summary>
public enum DeliveryState
{
    /// <summary>Stored and waiting for its turn or for its next attempt.</summary>
    Waiting,

    /// <summary>An attempt is under way, or was when the process stopped.</summary>
    Sending,

    /// <summary>The receiver has custody but has not said that it stored the referral.</summary>
    InCustody,

    /// <summary>An answer proves that the receiver stored every resource.</summary>
    Delivered,

    /// <summary>No attempt will help until a person has acted.</summary>
    NeedsHuman,

    /// <summary>Taken back before it was sent.</summary>
    Withdrawn,
}
