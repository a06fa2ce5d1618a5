namespace EarReferral.Referrals.States;

/// <summary>State of the work, FHIR R4 <c>Task.status</c>; once sent, only the ENT system moves it forward.</summary>
public enum ExecutionStatus
{
    /// <summary>Not yet released.</summary>
    Draft,

    /// <summary>Sent, nobody has answered.</summary>
    Requested,

    /// <summary>The ENT system has it and is triaging.</summary>
    Received,

    /// <summary>The ENT system will do it.</summary>
    Accepted,

    /// <summary>Returned by the ENT system.</summary>
    Rejected,

    /// <summary>A state of R4 that this workflow does not use; every move to it is put up for review.</summary>
    Ready,

    /// <summary>Cancelled before work began, or by agreement.</summary>
    Cancelled,

    /// <summary>Work is under way.</summary>
    InProgress,

    /// <summary>Work is paused.</summary>
    OnHold,

    /// <summary>Accepted, but it could not be done.</summary>
    Failed,

    /// <summary>The ENT system says it is done.</summary>
    Completed,

    /// <summary>It should never have existed.</summary>
    EnteredInError,
}
