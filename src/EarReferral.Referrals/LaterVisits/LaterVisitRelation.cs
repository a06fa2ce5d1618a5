namespace EarReferral.Referrals.LaterVisits;

/// <summary>What a visit is to a referral that was open when it took place.</summary>
public enum LaterVisitRelation
{
    /// <summary>Another reason: the visit has a referral of its own beside the open one.</summary>
    Separate,

    /// <summary>The same reason and no more urgent: no second referral is made, and the receiver is told of the visit.</summary>
    Adds,

    /// <summary>More urgent, or an emergency again: a referral of its own that replaces the open one.</summary>
    Replaces,
}
