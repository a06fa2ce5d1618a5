namespace EarReferral.Referrals.States;

/// <summary>Finer state of the work in this project's own code system, <c>Task.businessStatus</c>.</summary>
public enum BusinessStatus
{
    /// <summary>Sent, nobody has answered.</summary>
    ReferralSent,

    /// <summary>Being triaged.</summary>
    UnderTriage,

    /// <summary>The ENT system asked the clinic for more.</summary>
    AwaitingInformation,

    /// <summary>Accepted, no visit booked.</summary>
    Accepted,

    /// <summary>Returned with the advice to refer elsewhere.</summary>
    RejectedRedirect,

    /// <summary>Returned as not appropriate.</summary>
    RejectedInappropriate,

    /// <summary>Returned as already known.</summary>
    RejectedDuplicate,

    /// <summary>A visit is booked.</summary>
    VisitScheduled,

    /// <summary>The visit was moved.</summary>
    VisitRescheduled,

    /// <summary>The visit was cancelled; never an end for the safety net.</summary>
    VisitCancelled,

    /// <summary>The patient did not come; never an end for the safety net.</summary>
    DidNotAttend,

    /// <summary>The patient was seen.</summary>
    VisitComplete,

    /// <summary>The patient was seen, the letter is missing.</summary>
    AwaitingReport,

    /// <summary>A first result exists.</summary>
    PreliminaryOutcome,

    /// <summary>Done.</summary>
    Completed,

    /// <summary>Could not be done after acceptance.</summary>
    Failed,

    /// <summary>The clinic cancelled before work began.</summary>
    CancelledByReferrer,

    /// <summary>The clinic asked to cancel after work began; the ENT system has not agreed yet.</summary>
    CancelRequested,

    /// <summary>It should never have existed.</summary>
    EnteredInError,
}
