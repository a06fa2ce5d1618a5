namespace EarReferral.Referrals.Clocks;

/// <summary>The six clocks that make silence an alarm.</summary>
public enum ReferralClock
{
    /// <summary>Has the ENT system stored it?</summary>
    Deliver,

    /// <summary>Has anybody there said so?</summary>
    Acknowledge,

    /// <summary>Has it been triaged there?</summary>
    TriageOutcome,

    /// <summary>Is a visit booked?</summary>
    Appointment,

    /// <summary>Did the visit lead to an outcome?</summary>
    Outcome,

    /// <summary>Has the clinic answered a question of the ENT system?</summary>
    InformationReply,
}
