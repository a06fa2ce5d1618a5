using EarReferral.Referrals.States;
using EarReferral.Referrals.Transitions;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Resources;
using FhirTask = Hl7.Fhir.Model.Task;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Referrals;

/// <summary>Judges what a receiver says about a Task and applies what is lawful, by one table however it came. What is not applied is kept and raised, never dropped.</summary>
internal sealed class TaskReports(ResourceStore resources, ReferralStore referrals, TimeProvider clock, ILogger<TaskReports> logger)
{
    /// <summary>Keeps a report on a Task that nobody here knows.</summary>
    public Task<TaskReportOutcome.NotApplied> UnknownAsync(TaskReport report, CancellationToken stop) =>
        NotAppliedAsync(report, StatusCodes.Status404NotFound, IssueType.NotFound, "unknown-task", "No Task with this id is known here. The update was kept for review.", null, stop);

    /// <summary>Judges a report against the stored Task.</summary>
    public async Task<TaskReportOutcome> TakeAsync(TaskReport report, StoredResource stored, CancellationToken stop)
    {
        var (ours, sent) = ((FhirTask)stored.Parse(), report.Sent);
        var (update, problem) = TaskUpdate.Read(ours, sent);
        if (update is null)
        {
            return await NotAppliedAsync(report, StatusCodes.Status422UnprocessableEntity, IssueType.Required, "unreadable", problem!, null, stop);
        }

        if (TaskUpdate.Foreign(ours, sent) is { } foreign)
        {
            return await NotAppliedAsync(report, StatusCodes.Status422UnprocessableEntity, IssueType.BusinessRule, "foreign-patient", foreign, null, stop);
        }

        if (TaskUpdate.OtherTask(ours, sent) is { } other)
        {
            return await NotAppliedAsync(report, StatusCodes.Status422UnprocessableEntity, IssueType.BusinessRule, "other-task", other, "Task.identifier", stop);
        }

        if (TaskUpdate.Replaced(ours, sent, report.Address) is { } replaced)
        {
            return await NotAppliedAsync(report, StatusCodes.Status409Conflict, IssueType.Conflict, "replaced-task", replaced, "Task.identifier", stop);
        }

        if (ours.Code?.Coding.Any(coding => coding.Code == "abort") is true)
        {
            return await NotAppliedAsync(report, StatusCodes.Status422UnprocessableEntity, IssueType.BusinessRule, "abort-task", "This Task asks you to stop. Answer it by the end of the work on the Task that it names: cancelled agrees, any other end does not.", null, stop);
        }

        var referral = await referrals.FindByTaskAsync(report.Reach, report.TaskId, stop);
        var asked = referral is not null && TaskUpdate.IsCancelAsked(await referrals.TimelineAsync(report.Reach, referral.ReferralId, stop));
        var outcome = ReferralLife.Apply(TaskUpdate.State(ours, stored.Version == 1) with { CancellationAsked = asked }, update);
        if (outcome is TransitionOutcome.Repeated)
        {
            return new TaskReportOutcome.Taken(stored, Changed: false);
        }

        if (report.Versions?.Contains($"W/\"{stored.Version}\"") is false)
        {
            return new TaskReportOutcome.Stale(stored.Version);
        }

        switch (outcome)
        {
            case TransitionOutcome.Applied applied:
                var detail = string.Join("; ", new[] { report.Words, Detail(applied) }.OfType<string>());
                var entry = new ReferralEvent(clock.GetUtcNow(), "task-updated", report.Actor, Detail: detail.Length == 0 ? null : detail);
                var written = await referrals.ApplyTaskUpdateAsync(report.Reach, report.TaskId, stored.Version, TaskUpdate.Merge(ours, sent), applied.State.Execution.Code(), applied.State.Business?.Code(), entry, stop);
                if (written is not TaskUpdateOutcome.Applied)
                {
                    return new TaskReportOutcome.ChangedMeanwhile();
                }

                Log.TaskMoved(logger, report.TaskId, applied.State.Execution.Code());
                return new TaskReportOutcome.Taken((await resources.ReadAsync(report.Reach, "Task", report.TaskId, stop))!, Changed: true);
            case TransitionOutcome.Late:
                return await NotAppliedAsync(report, StatusCodes.Status409Conflict, IssueType.Conflict, "late", "A newer update was applied before. This one was kept for review.", "Task.lastModified", stop);
            case TransitionOutcome.Illegal illegal:
                return await NotAppliedAsync(report, StatusCodes.Status422UnprocessableEntity, IssueType.BusinessRule, "illegal-transition", $"A Task cannot go from {illegal.From.Code()} to {illegal.To.Code()}. The update was kept for review.", "Task.status", stop);
            case TransitionOutcome.InvalidTimes:
                return await NotAppliedAsync(report, StatusCodes.Status422UnprocessableEntity, IssueType.Invariant, "inv-1", "Task.lastModified lies before Task.authoredOn (FHIR R4 invariant inv-1).", "Task.lastModified", stop);
            case TransitionOutcome.UnknownTask:
            case TransitionOutcome.AbortTaskNeeded:
            case TransitionOutcome.Repeated:
            default:
                throw new InvalidOperationException($"{outcome.GetType().Name} cannot come of a receiver's update to a known Task.");
        }
    }

    /// <summary>What a person should know of a change; null when nothing.</summary>
    public static string? Detail(TransitionOutcome.Applied applied)
    {
        var parts = applied.Skipped.Select(skipped => $"skipped {skipped.Code()}").Concat(applied.Flags.Select(flag => $"look at: {flag}"));
        var text = string.Join("; ", parts);
        return text.Length == 0 ? null : text;
    }

    private async Task<TaskReportOutcome.NotApplied> NotAppliedAsync(TaskReport report, int status, IssueType code, string reason, string sentence, string? expression, CancellationToken stop)
    {
        await referrals.QuarantineAsync(new QuarantinedUpdate(clock.GetUtcNow(), report.Actor, report.TaskId, reason, report.Body), stop);
        Log.TaskUpdateNotApplied(logger, report.TaskId, reason);
        return new TaskReportOutcome.NotApplied(reason, status, code, sentence, expression);
    }
}
