using System.Globalization;
using EarReferral.Gateway.Fhir;
using EarReferral.Gateway.Intake;
using EarReferral.Mapping.Codes;
using EarReferral.Referrals.States;
using EarReferral.Referrals.Transitions;
using EarReferral.Storage;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Search;
using FhirTask = Hl7.Fhir.Model.Task;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Referrals;

/// <summary>Takes a receiver's report: <c>PUT /fhir/Task/{id}</c> with If-Match.</summary>
/// <remarks>What is not applied is recorded and raised, never dropped; the outcome says which it was.</remarks>
internal static class TaskUpdateEndpoint
{
    /// <summary>Finds the Task by its identifier and goes on as if its id had been named.</summary>
    public static async Task<IResult> PutByIdentifierAsync(string? identifier, HttpContext context, ResourceStore resources, ReferralStore referrals, TimeProvider clock, ILogger<ReferralStore> logger)
    {
        if (SearchParser.Parse("Task", [KeyValuePair.Create("identifier", identifier ?? "")], clock.GetUtcNow()).Query is not { } query)
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Value, "Name the Task with ?identifier=system|value.");
        }

        var found = await resources.SearchAsync(Callers.EntSystem(context), query, null, context.RequestAborted);
        return found.Entries.Count > 1
            ? FhirResult.Error(StatusCodes.Status412PreconditionFailed, IssueType.MultipleMatches, "More than one Task has this identifier.")
            : await TakeAsync(found.Entries.Count == 1 ? found.Entries[0].Id : "", isIdNamed: false, context, resources, referrals, clock, logger);
    }

    /// <summary>Judges one update against the stored Task and applies it when it is lawful.</summary>
    public static Task<IResult> PutAsync(string id, HttpContext context, ResourceStore resources, ReferralStore referrals, TimeProvider clock, ILogger<ReferralStore> logger) =>
        TakeAsync(id, isIdNamed: true, context, resources, referrals, clock, logger);

    private static async Task<IResult> TakeAsync(string id, bool isIdNamed, HttpContext context, ResourceStore resources, ReferralStore referrals, TimeProvider clock, ILogger<ReferralStore> logger)
    {
        var stop = context.RequestAborted;
        using var memory = new MemoryStream();
        await context.Request.Body.CopyToAsync(memory, stop);
        var body = memory.ToArray();
        var received = FhirBody.Read(context.Request.ContentType, body);
        if (received is not { Resource: FhirTask sent, Issues.Count: 0 })
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Structure, received.Issues.Count == 0 ? "The body must be a Task." : $"The body cannot be read as FHIR R4: {string.Join("; ", received.Issues.Select(issue => issue.RuleId).Distinct())}.");
        }

        // Found by its identifier, the body is the receiver's own copy, whose id is the receiver's.
        if (isIdNamed && sent.Id is { } named && named != id)
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Invalid, "Task.id differs from the id in the address (FHIR R4 RESTful API, update).", "Task.id");
        }

        async Task<IResult> NotApplied(int status, IssueType code, string reason, string sentence, string? expression = null)
        {
            await referrals.QuarantineAsync(new QuarantinedUpdate(clock.GetUtcNow(), Callers.Actor, id, reason, body), stop);
            Log.TaskUpdateNotApplied(logger, id, reason);
            return FhirResult.Error(status, code, sentence, expression);
        }

        var reach = Callers.EntSystem(context);
        var address = isIdNamed ? id : null;
        var stored = await resources.ReadAsync(reach, "Task", id, stop);
        if (stored is null && isIdNamed && await ReplacementAsync(id, reach, resources, clock, stop) is { } replacement)
        {
            (id, stored) = (replacement.Id, replacement);
        }

        if (stored is null)
        {
            return await NotApplied(StatusCodes.Status404NotFound, IssueType.NotFound, "unknown-task", "No Task with this id is known here. The update was kept for review.");
        }

        if (context.Request.Headers.IfMatch.Count == 0)
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Required, "If-Match is required, with the version that the update starts from.");
        }

        var ours = (FhirTask)stored.Parse();
        var (update, problem) = TaskUpdate.Read(ours, sent);
        if (update is null)
        {
            return await NotApplied(StatusCodes.Status422UnprocessableEntity, IssueType.Required, "unreadable", problem!);
        }

        if (TaskUpdate.Foreign(ours, sent) is { } foreign)
        {
            return await NotApplied(StatusCodes.Status422UnprocessableEntity, IssueType.BusinessRule, "foreign-patient", foreign);
        }

        if (TaskUpdate.OtherTask(ours, sent) is { } other)
        {
            return await NotApplied(StatusCodes.Status422UnprocessableEntity, IssueType.BusinessRule, "other-task", other, "Task.identifier");
        }

        if (TaskUpdate.Replaced(ours, sent, address) is { } replaced)
        {
            return await NotApplied(StatusCodes.Status409Conflict, IssueType.Conflict, "replaced-task", replaced, "Task.identifier");
        }

        if (ours.Code?.Coding.Any(coding => coding.Code == "abort") is true)
        {
            return await NotApplied(StatusCodes.Status422UnprocessableEntity, IssueType.BusinessRule, "abort-task", "This Task asks you to stop. Answer it by the end of the work on the Task that it names: cancelled agrees, any other end does not.");
        }

        var referral = await referrals.FindByTaskAsync(reach, id, stop);
        var asked = referral is not null && TaskUpdate.IsCancelAsked(await referrals.TimelineAsync(reach, referral.ReferralId, stop));
        var outcome = ReferralLife.Apply(TaskUpdate.State(ours, stored.Version == 1) with { CancellationAsked = asked }, update);
        if (outcome is TransitionOutcome.Repeated)
        {
            return Answer(stored);
        }

        if (!context.Request.Headers.IfMatch.Contains($"W/\"{stored.Version}\""))
        {
            return FhirResult.Error(StatusCodes.Status412PreconditionFailed, IssueType.Conflict, string.Create(CultureInfo.InvariantCulture, $"The Task is at version {stored.Version}. Read it again and repeat the update on it."));
        }

        switch (outcome)
        {
            case TransitionOutcome.Applied applied:
                var entry = new ReferralEvent(clock.GetUtcNow(), "task-updated", Callers.Actor, Detail: Detail(applied));
                var written = await referrals.ApplyTaskUpdateAsync(reach, id, stored.Version, TaskUpdate.Merge(ours, sent), applied.State.Execution.Code(), applied.State.Business?.Code(), entry, stop);
                if (written is TaskUpdateOutcome.Applied)
                {
                    Log.TaskMoved(logger, id, applied.State.Execution.Code());
                    return Answer((await resources.ReadAsync(reach, "Task", id, stop))!);
                }

                return FhirResult.Error(StatusCodes.Status412PreconditionFailed, IssueType.Conflict, "The Task changed meanwhile. Read it again and repeat the update on it.");
            case TransitionOutcome.Late:
                return await NotApplied(StatusCodes.Status409Conflict, IssueType.Conflict, "late", "A newer update was applied before. This one was kept for review.", "Task.lastModified");
            case TransitionOutcome.Illegal illegal:
                return await NotApplied(StatusCodes.Status422UnprocessableEntity, IssueType.BusinessRule, "illegal-transition", $"A Task cannot go from {illegal.From.Code()} to {illegal.To.Code()}. The update was kept for review.", "Task.status");
            case TransitionOutcome.InvalidTimes:
                return await NotApplied(StatusCodes.Status422UnprocessableEntity, IssueType.Invariant, "inv-1", "Task.lastModified lies before Task.authoredOn (FHIR R4 invariant inv-1).", "Task.lastModified");
            case TransitionOutcome.UnknownTask:
            case TransitionOutcome.AbortTaskNeeded:
            case TransitionOutcome.Repeated:
            default:
                throw new InvalidOperationException($"{outcome.GetType().Name} cannot come of a receiver's update to a known Task.");
        }
    }

    /// <summary>A receiver may address the Task that came with a correction by its own identity; here it is a further identifier of the one Task.</summary>
    private static async Task<StoredResource?> ReplacementAsync(string id, Reach reach, ResourceStore resources, TimeProvider clock, CancellationToken stop)
    {
        var query = SearchParser.Parse("Task", [KeyValuePair.Create("identifier", $"{Canonicals.ResourceIdentifier}|{id}")], clock.GetUtcNow()).Query;
        var found = query is null ? [] : (await resources.SearchAsync(reach, query, null, stop)).Entries;
        return found.Count == 1 ? await resources.ReadAsync(reach, "Task", found[0].Id, stop) : null;
    }

    internal static string? Detail(TransitionOutcome.Applied applied)
    {
        var parts = applied.Skipped.Select(skipped => $"skipped {skipped.Code()}").Concat(applied.Flags.Select(flag => $"look at: {flag}"));
        var text = string.Join("; ", parts);
        return text.Length == 0 ? null : text;
    }

    private static FhirResult Answer(StoredResource stored) => FhirResult.Of(stored);
}
