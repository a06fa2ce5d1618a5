using FhirTask = Hl7.Fhir.Model.Task;

namespace EarReferral.Storage.Referrals;

/// <summary>The end that a named clinician gives a referral.</summary>
/// <param name="Person">Who closes it, by name.</param>
/// <param name="Role">In which role.</param>
/// <param name="Reason">Code of the reason.</param>
/// <param name="Text">Why, in the person's own words; kept as a note of the ServiceRequest.</param>
/// <param name="Told">Whom of the receiver the person told; null when nobody had to be told.</param>
/// <param name="At">When.</param>
/// <param name="Actor">Caller that brought it.</param>
/// <param name="RequestId">Id of the request.</param>
public sealed record ReferralClosure(
    string Person, string Role, string Reason, string Text, string? Told, DateTimeOffset At, string Actor, string RequestId);

/// <summary>What a closure was judged against and what follows from it; the matrix of the Task decides that, not the store.</summary>
/// <param name="ChangedAt">Time of the referral's last change that the person had seen.</param>
/// <param name="TaskVersion">Version of the Task.</param>
/// <param name="Cancelled">The Task as cancelled; null when it stays as the receiver ended it.</param>
/// <param name="Request">New status code of the ServiceRequest.</param>
/// <param name="EndedByReceiver">True when the receiver itself has ended the work, so that it needs no call.</param>
public sealed record ClosureJudgement(
    DateTimeOffset ChangedAt, int TaskVersion, FhirTask? Cancelled, string Request, bool EndedByReceiver);

/// <summary>What became of a closure.</summary>
public enum ClosureOutcome
{
    /// <summary>State, Task, ServiceRequest, timeline and audit say so together.</summary>
    Closed,

    /// <summary>It was closed before.</summary>
    ClosedBefore,

    /// <summary>Something changed after the person looked.</summary>
    Stale,

    /// <summary>An attempt to send it is under way; what the receiver gets is not known yet.</summary>
    AttemptUnderWay,

    /// <summary>The receiver has it or may have it, and nobody is named who was told.</summary>
    NobodyTold,

    /// <summary>No such referral within reach.</summary>
    NotFound,
}
