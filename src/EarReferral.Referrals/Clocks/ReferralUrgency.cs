namespace EarReferral.Referrals.Clocks;

/// <summary>Urgency of a referral; the triage tiers that lead to one. Tier T4 leads to no referral and has no clocks.</summary>
public enum ReferralUrgency
{
    /// <summary>T0, the same visit.</summary>
    Emergency,

    /// <summary>T1, within 24 hours.</summary>
    Immediate,

    /// <summary>T2, within 2 weeks.</summary>
    Urgent,

    /// <summary>T2C, suspected cancer.</summary>
    SuspectedCancer,

    /// <summary>T3, local pathway.</summary>
    Routine,
}
