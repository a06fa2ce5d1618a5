namespace EarReferral.Storage.Referrals;

/// <summary>Whether the patient objects to the receiver getting a referral.</summary>
public enum ReferralObjection
{
    /// <summary>No objection is recorded.</summary>
    None,

    /// <summary>The patient objects: nothing more is sent, and the receiver can read nothing of it here.</summary>
    Stands,

    /// <summary>The patient objects, and a named clinician decided that it is sent all the same.</summary>
    Overridden,
}
