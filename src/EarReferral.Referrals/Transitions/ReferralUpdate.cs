using EarReferral.Referrals.States;

namespace EarReferral.Referrals.Transitions;

/// <summary>News about the shared Task, however it came: notification, poll or answer.</summary>
/// <param name="TaskIdentifier">Business identifier of the Task.</param>
/// <param name="By">Who made the change.</param>
/// <param name="Status">The status it carries.</param>
/// <param name="Business">The finer state; null when absent or of another code system.</param>
/// <param name="StatusReason">Why, in words; mandatory in our profile for rejected and failed.</param>
/// <param name="HasOutput">True when <c>Task.output</c> is there.</param>
/// <param name="AuthoredOn"><c>Task.authoredOn</c>.</param>
/// <param name="Version">Version and <c>Task.lastModified</c>.</param>
public sealed record ReferralUpdate(
    string TaskIdentifier,
    Party By,
    ExecutionStatus Status,
    BusinessStatus? Business,
    string? StatusReason,
    bool HasOutput,
    DateTimeOffset AuthoredOn,
    TaskVersion Version);
