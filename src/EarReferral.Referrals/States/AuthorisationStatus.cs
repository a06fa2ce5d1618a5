namespace EarReferral.Referrals.States;

/// <summary>State of the authorisation, FHIR R4 <c>ServiceRequest.status</c>; only the clinic's side changes it.</summary>
public enum AuthorisationStatus
{
    /// <summary>Composed, not released.</summary>
    Draft,

    /// <summary>The request stands.</summary>
    Active,

    /// <summary>The request is paused.</summary>
    OnHold,

    /// <summary>Taken back by the clinic.</summary>
    Revoked,

    /// <summary>The clinic has seen the outcome and closed the request.</summary>
    Completed,

    /// <summary>It should never have existed, for example for the wrong patient.</summary>
    EnteredInError,

    /// <summary>The state is not known.</summary>
    Unknown,
}
