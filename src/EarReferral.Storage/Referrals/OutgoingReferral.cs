namespace EarReferral.Storage.Referrals;

/// <summary>A referral to send.</summary>
/// <param name="ReferralId">Id of its ServiceRequest.</param>
/// <param name="TaskId">Id of its Task.</param>
/// <param name="Destination">Name of the receiving system in the configuration.</param>
/// <param name="Tier">Tier of the decision, such as <c>T1</c>.</param>
/// <param name="PriorityLane">Sends with a smaller number go first.</param>
/// <param name="Due">Clinical deadline; within a lane the earliest goes first.</param>
/// <param name="PatientKey">Patient seed.</param>
/// <param name="ClinicId">Clinic that refers.</param>
/// <param name="PracticeOds">GP practice of the patient.</param>
/// <param name="Request">The bytes to send.</param>
/// <param name="RequestSha256">Their SHA-256, lower-case hexadecimal.</param>
/// <param name="IdempotencyKey">Stays the same over all attempts, so that the receiver can drop repeats.</param>
/// <param name="CorrelationId">Id that ties answers and logs to this referral.</param>
/// <param name="Concerns">What it rests on: rule and ear, such as <c>R-CA-05/left</c>, or the rule alone; none holds a space.</param>
/// <param name="Hold">True to keep it back until a named person releases it.</param>
public sealed record OutgoingReferral(
    string ReferralId,
    string TaskId,
    string Destination,
    string Tier,
    int PriorityLane,
    DateTimeOffset? Due,
    Guid PatientKey,
    string ClinicId,
    string? PracticeOds,
    ReadOnlyMemory<byte> Request,
    string RequestSha256,
    string IdempotencyKey,
    string CorrelationId,
    IReadOnlyList<string> Concerns,
    bool Hold);
