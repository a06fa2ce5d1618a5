using EarReferral.Referrals.States;
using EarReferral.Referrals.Transitions;
using EarReferral.Storage.Referrals;
using Hl7.Fhir.Model;
using FhirTask = Hl7.Fhir.Model.Task;
using ReferralState = EarReferral.Referrals.States.ReferralState;

namespace EarReferral.Gateway.Referrals;

/// <summary>Reads what a receiver reports on a Task, and writes the lawful part of it into ours.</summary>
internal static class TaskUpdate
{
    /// <summary>The news in a Task that a receiver sent; null with a reason when it cannot be read as one.</summary>
    public static (ReferralUpdate? Update, string? Problem) Read(FhirTask ours, FhirTask sent)
    {
        if (sent.Status is null || StateCodes.Execution(Code(sent.Status.Value)) is not { } status)
        {
            return (null, "Task.status is missing or not a status of FHIR R4.");
        }

        if (sent.LastModifiedElement is null || !sent.LastModifiedElement.TryToDateTimeOffset(TimeSpan.Zero, out var modified))
        {
            return (null, "Task.lastModified must say when the status changed, with its offset.");
        }

        var authored = ours.AuthoredOnElement!.ToDateTimeOffset(TimeSpan.Zero);
        var business = sent.BusinessStatus?.Coding.FirstOrDefault(coding => coding.System == StateCodes.BusinessStatusSystem)?.Code;
        return (new ReferralUpdate(
            Identifier(ours),
            Party.Filler,
            status,
            business is null ? null : StateCodes.Business(business),
            sent.StatusReason?.Text ?? sent.StatusReason?.Coding.FirstOrDefault()?.Display,
            sent.Output.Count > 0,
            authored,
            new TaskVersion(null, modified)), null);
    }

    /// <summary>Where the referral stands according to the stored Task.</summary>
    /// <param name="ours">The stored Task.</param>
    /// <param name="isAsSent">True while it is the version that was sent and no receiver has spoken.</param>
    public static ReferralState State(FhirTask ours, bool isAsSent) => new(
        Identifier(ours),
        DeliveryState.Delivered,
        AuthorisationStatus.Active,
        StateCodes.Execution(Code(ours.Status!.Value))!.Value,
        ours.BusinessStatus?.Coding.FirstOrDefault()?.Code is { } code ? StateCodes.Business(code) : null,
        // Our own cancellation carries no rank among the receiver's versions: work it had begun before must not look late.
        isAsSent || IsOursCancelled(ours) ? null : new TaskVersion(null, ours.LastModifiedElement!.ToDateTimeOffset(TimeSpan.Zero)),
        ours.Output.Count > 0);

    /// <summary>True from the asking for a cancellation until the receiver has reported an end.</summary>
    public static bool IsCancelAsked(IReadOnlyList<ReferralEvent> timeline) =>
        timeline.LastOrDefault(entry => entry.Kind is ReferralStore.CancelAsked or "cancel-agreed" or "cancel-refused")?.Kind == ReferralStore.CancelAsked;

    /// <summary>Why the update speaks of somebody else, or null: a receiver may move the work, never the patient or the request.</summary>
    public static string? Foreign(FhirTask ours, FhirTask sent) => (sent.For?.Reference, sent.Focus?.Reference) switch
    {
        ({ } patient, _) when patient != ours.For!.Reference && !patient.EndsWith("/" + ours.For.Reference, StringComparison.Ordinal) => "Task.for names another patient.",
        (_, { } request) when request != ours.Focus!.Reference && !request.EndsWith("/" + ours.Focus.Reference, StringComparison.Ordinal) => "Task.focus names another request.",
        _ => null,
    };

    /// <summary>Why the update is about another Task, or null: whoever sends identifiers must send ours among them.</summary>
    public static string? OtherTask(FhirTask ours, FhirTask sent) =>
        sent.Identifier.Count == 0 || Named(ours, sent) is not null
            ? null
            : "Task.identifier names another Task; ours is not among its identifiers.";

    /// <summary>Why the update is about a Task that a correction replaced at the receiver, or null.</summary>
    /// <param name="ours">The stored Task; the newest of its identifiers is the one in force.</param>
    /// <param name="sent">What was sent.</param>
    /// <param name="address">Id in the address; null when it was found by its identifier.</param>
    public static string? Replaced(FhirTask ours, FhirTask sent, string? address)
    {
        var named = Named(ours, sent) ?? (ours.Identifier.Exists(each => each.Value == address) ? address : null);
        return ours.Identifier.Count == 1 || named is null || named == ours.Identifier[^1].Value
            ? null
            : "This Task was replaced when the visit was corrected; report on the one that came with the correction.";
    }

    private static string? Named(FhirTask ours, FhirTask sent) =>
        ours.Identifier.LastOrDefault(one => sent.Identifier.Exists(each => each.System == one.System && each.Value == one.Value))?.Value;

    /// <summary>Our Task with what the receiver may say: status, reasons, outputs, notes and when.</summary>
    public static FhirTask Merge(FhirTask ours, FhirTask sent)
    {
        var next = (FhirTask)ours.DeepCopy();
        next.Status = sent.Status;
        next.BusinessStatus = sent.BusinessStatus;
        next.StatusReason = sent.StatusReason;
        next.Output = sent.Output;
        next.Note = sent.Note;
        next.LastModifiedElement = sent.LastModifiedElement;
        return next;
    }

    private static bool IsOursCancelled(FhirTask task) =>
        task.BusinessStatus?.Coding.Any(coding => coding.System == StateCodes.BusinessStatusSystem && coding.Code == BusinessStatus.CancelledByReferrer.Code()) is true;

    private static string Identifier(FhirTask task) => task.Identifier[0].Value!;

    private static string Code(FhirTask.TaskStatus status) => Hl7.Fhir.Utility.EnumUtility.GetLiteral(status)!;
}
