namespace EarReferral.Referrals.Clocks;

/// <summary>The triage tier that a stored referral carries, as an urgency.</summary>
public static class UrgencyTiers
{
    /// <summary>Reads a tier such as <c>T1</c>; null for T4, which leads to no referral, and for anything else.</summary>
    public static ReferralUrgency? Read(string tier) => tier switch
    {
        "T0" => ReferralUrgency.Emergency,
        "T1" => ReferralUrgency.Immediate,
        "T2" => ReferralUrgency.Urgent,
        "T2C" => ReferralUrgency.SuspectedCancer,
        "T3" => ReferralUrgency.Routine,
        _ => null,
    };
}
