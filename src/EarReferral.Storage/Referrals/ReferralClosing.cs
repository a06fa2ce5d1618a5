using EarReferral.Storage.Alarms;
using EarReferral.Storage.Audit;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using EarReferral.Storage.Sending;
using Hl7.Fhir.Model;
using Hl7.Fhir.Utility;
using Microsoft.EntityFrameworkCore;
using FhirTask = Hl7.Fhir.Model.Task;

namespace EarReferral.Storage.Referrals;

/// <summary>Closes a referral, and wakes a closed one up again, within the caller's transaction.</summary>
internal static class ReferralClosing
{
    /// <summary>Timeline word of a cancellation that the receiver has been asked for.</summary>
    public const string CancelAsked = "cancel-requested";

    public static async Task<(ClosureOutcome Outcome, bool Keep)> CloseAsync(
        StoreContext store, Reach reach, string referralId, ReferralClosure closure, ClosureJudgement judgement, CancellationToken cancellationToken)
    {
        await ReferralWriter.LockAsync(store, referralId, cancellationToken);
        var referral = await store.Referrals.Within(reach).SingleOrDefaultAsync(row => row.ReferralId == referralId, cancellationToken);
        if (referral is null)
        {
            return (ClosureOutcome.NotFound, false);
        }

        var send = await store.Outbox.SingleAsync(row => row.ReferralId == referralId, cancellationToken);
        var attempts = await store.Attempts.Where(row => row.ReferralId == referralId).Select(row => row.Outcome).ToListAsync(cancellationToken);
        var task = await store.Resources.SingleAsync(row => row.Type == "Task" && row.Id == referral.TaskId, cancellationToken);
        var leaseNow = await store.LeaseClockAsync(closure.At, cancellationToken);
        if (Obstacle(referral, send, leaseNow, attempts, task.Version, closure, judgement) is { } obstacle)
        {
            return (obstacle, false);
        }

        var owner = Owner(referral);
        if (judgement.Cancelled is { } cancelled)
        {
            await ResourceWriter.PutAsync(store, Stored(task), cancelled, owner, null, closure.At, cancellationToken);
            referral.TaskStatus = "cancelled";
            referral.BusinessStatus = cancelled.BusinessStatus?.Coding.FirstOrDefault()?.Code;
        }

        await ChangeRequestAsync(store, referral, closure.At, request => End(request, closure, judgement), cancellationToken);
        if (send.State != SendState.Delivered)
        {
            send.State = SendState.Stopped;
            send.Reason = $"Closed: {closure.Reason}.";
        }

        referral.State = ReferralState.Closed;
        // The ETag is made of this time, so it moves on even within one millisecond.
        referral.ChangedAt = closure.At > referral.ChangedAt ? closure.At : referral.ChangedAt.AddMilliseconds(1);
        await AlarmStore.AcknowledgeAsync(store, referralId, null, closure.Person, closure.At, cancellationToken);
        var told = closure.Told is { } name ? $" Told: {name}." : "";
        store.Add(ReferralWriter.Event(referralId, new ReferralEvent(
            closure.At, "closed", closure.Actor, judgement.Cancelled is null ? null : "cancelled", judgement.Cancelled is null ? null : referral.BusinessStatus, $"{closure.Reason}: closed by {closure.Person}, {closure.Role}.{told}")));
        store.Add(AuditStore.Row(new AuditEntry(
            closure.At, AuditAction.Update, AuditResult.Success, closure.Actor, referral.ClinicId, referral.PracticeOds, referral.PatientKey,
            "ServiceRequest", referralId, closure.RequestId, $"closure: {closure.Reason}, by {closure.Person}, {closure.Role}")));
        return (ClosureOutcome.Closed, true);
    }

    /// <summary>
    /// Cancels a referral that no receiver has begun: nothing more is sent, Task and ServiceRequest say so. It stays on the list of what
    /// waits for a person until a clinician closes it, because the patient may still need somebody.
    /// </summary>
    public static async Task<(ClosureOutcome Outcome, bool Keep)> CancelAsync(
        StoreContext store, Reach reach, string referralId, ReferralClosure closure, ClosureJudgement judgement, CancellationToken cancellationToken)
    {
        var (referral, send, task, obstacle) = await LoadAsync(store, reach, referralId, closure, judgement, cancellationToken);
        if (obstacle is { } stands || judgement.Cancelled is null)
        {
            return (obstacle ?? ClosureOutcome.Stale, false);
        }

        await ResourceWriter.PutAsync(store, Stored(task!), judgement.Cancelled, Owner(referral!), null, closure.At, cancellationToken);
        (referral!.TaskStatus, referral.BusinessStatus) = ("cancelled", judgement.Cancelled.BusinessStatus?.Coding.FirstOrDefault()?.Code);
        await ChangeRequestAsync(store, referral, closure.At, request => End(request, closure, judgement), cancellationToken);
        if (send!.State != SendState.Delivered)
        {
            (send.State, send.Reason, referral.State) = (SendState.Stopped, $"Cancelled: {closure.Reason}.", ReferralState.NeedsHuman);
        }

        Tell(store, referral, closure, "cancelled", "cancelled");
        return (ClosureOutcome.Closed, true);
    }

    /// <summary>Asks a receiver that works on it to stop: the shared Task stays as it is, an abort Task stands beside it until the receiver answers.</summary>
    public static async Task<(ClosureOutcome Outcome, bool Keep)> AskToCancelAsync(
        StoreContext store, Reach reach, string referralId, ReferralClosure closure, ClosureJudgement judgement, FhirTask asked, FhirTask abort, CancellationToken cancellationToken)
    {
        var (referral, _, task, obstacle) = await LoadAsync(store, reach, referralId, closure, judgement, cancellationToken);
        if (obstacle is { } stands)
        {
            return (stands, false);
        }

        await ResourceWriter.PutAsync(store, Stored(task!), asked, Owner(referral!), null, closure.At, cancellationToken);
        await ResourceWriter.PutAsync(store, [], abort, Owner(referral!), referral!.Destination, closure.At, cancellationToken);
        referral.BusinessStatus = asked.BusinessStatus?.Coding.FirstOrDefault()?.Code;
        Tell(store, referral, closure, CancelAsked, referral.TaskStatus);
        return (ClosureOutcome.Closed, true);
    }

    private static async Task<(ReferralRow? Referral, OutboxRow? Send, ResourceRow? Task, ClosureOutcome? Obstacle)> LoadAsync(
        StoreContext store, Reach reach, string referralId, ReferralClosure closure, ClosureJudgement judgement, CancellationToken cancellationToken)
    {
        await ReferralWriter.LockAsync(store, referralId, cancellationToken);
        var referral = await store.Referrals.Within(reach).SingleOrDefaultAsync(row => row.ReferralId == referralId, cancellationToken);
        if (referral is null)
        {
            return (null, null, null, ClosureOutcome.NotFound);
        }

        var send = await store.Outbox.SingleAsync(row => row.ReferralId == referralId, cancellationToken);
        var attempts = await store.Attempts.Where(row => row.ReferralId == referralId).Select(row => row.Outcome).ToListAsync(cancellationToken);
        var task = await store.Resources.SingleAsync(row => row.Type == "Task" && row.Id == referral.TaskId, cancellationToken);
        return (referral, send, task, Obstacle(referral, send, await store.LeaseClockAsync(closure.At, cancellationToken), attempts, task.Version, closure, judgement));
    }

    private static void Tell(StoreContext store, ReferralRow referral, ReferralClosure closure, string kind, string taskStatus)
    {
        // The ETag is made of this time, so it moves on even within one millisecond.
        referral.ChangedAt = closure.At > referral.ChangedAt ? closure.At : referral.ChangedAt.AddMilliseconds(1);
        var told = closure.Told is { } name ? $" Told: {name}." : "";
        store.Add(ReferralWriter.Event(referral.ReferralId, new ReferralEvent(
            closure.At, kind, closure.Actor, taskStatus, referral.BusinessStatus, $"{closure.Reason}: by {closure.Person}, {closure.Role}.{told}")));
        store.Add(AuditStore.Row(new AuditEntry(
            closure.At, AuditAction.Update, AuditResult.Success, closure.Actor, referral.ClinicId, referral.PracticeOds, referral.PatientKey,
            "ServiceRequest", referral.ReferralId, closure.RequestId, $"{kind}: {closure.Reason}, by {closure.Person}, {closure.Role}")));
    }

    /// <summary>
    /// Wakes a closed referral up when the receiver takes the work up again, or adds to what it had completed. Other news of a
    /// closed referral ends nothing and begins nothing.
    /// </summary>
    public static async System.Threading.Tasks.Task FollowReportAsync(
        StoreContext store, ReferralRow referral, string newStatus, DateTimeOffset now, CancellationToken cancellationToken)
    {
        await AnswerAbortAsync(store, referral, newStatus, now, cancellationToken);
        if (referral.State != ReferralState.Closed || newStatus is not ("in-progress" or "completed"))
        {
            return;
        }

        referral.State = ReferralState.NeedsHuman;
        store.Add(ReferralWriter.Event(referral.ReferralId, new ReferralEvent(
            now, "reopened", "gateway", Detail: $"The receiver reported {newStatus} after the referral was closed; a clinician must look and close it again.")));
        if (newStatus == "in-progress")
        {
            // What the clinic had revoked stays revoked: only a request that counted as done is a live one again.
            await ChangeRequestAsync(
                store, referral, now, request => request.Status = request.Status == RequestStatus.Completed ? RequestStatus.Active : request.Status, cancellationToken);
        }
    }

    /// <summary>The receiver's end of the work answers the abort Task: cancelled agrees to it, every other end refuses it.</summary>
    private static async System.Threading.Tasks.Task AnswerAbortAsync(
        StoreContext store, ReferralRow referral, string newStatus, DateTimeOffset now, CancellationToken cancellationToken)
    {
        if (newStatus is not ("cancelled" or "completed" or "failed" or "rejected"))
        {
            return;
        }

        var others = await store.Resources
            .Where(row => row.Type == "Task" && row.EncounterKey == referral.EncounterKey && row.Id != referral.TaskId)
            .ToListAsync(cancellationToken);
        foreach (var row in others)
        {
            var abort = (FhirTask)await ReadAsync(store, row, cancellationToken);
            if (abort.Status != FhirTask.TaskStatus.Requested)
            {
                continue;
            }

            abort.Status = newStatus == "cancelled" ? FhirTask.TaskStatus.Completed : FhirTask.TaskStatus.Rejected;
            abort.LastModifiedElement = new FhirDateTime(now);
            await ResourceWriter.PutAsync(store, Stored(row), abort, Owner(referral), null, now, cancellationToken);
            store.Add(ReferralWriter.Event(referral.ReferralId, new ReferralEvent(now, newStatus == "cancelled" ? "cancel-agreed" : "cancel-refused", "gateway", Detail: $"The receiver reported {newStatus}.")));
            if (newStatus == "cancelled")
            {
                await ChangeRequestAsync(store, referral, now, request => request.Status = RequestStatus.Revoked, cancellationToken);
            }
        }
    }

    private static async Task<Resource> ReadAsync(StoreContext store, ResourceRow row, CancellationToken cancellationToken) => ResourceJson.Parse(await store.ResourceVersions
        .Where(version => version.ResourceKey == row.Key && version.Version == row.Version)
        .Select(version => version.Json)
        .SingleAsync(cancellationToken));

    private static ClosureOutcome? Obstacle(
        ReferralRow referral, OutboxRow send, DateTimeOffset leaseNow, List<string> attempts, int taskVersion, ReferralClosure closure, ClosureJudgement judgement)
    {
        if (referral.State == ReferralState.Closed)
        {
            return ClosureOutcome.ClosedBefore;
        }

        if (referral.ChangedAt != judgement.ChangedAt || taskVersion != judgement.TaskVersion)
        {
            return ClosureOutcome.Stale;
        }

        if (send.LeaseToken is not null && send.LeaseUntil > leaseNow)
        {
            return ClosureOutcome.AttemptUnderWay;
        }

        var nobodyHasIt = AttemptWords.IsUnsent(send.Claims, attempts);
        var knowsItself = judgement.EndedByReceiver && referral.State == ReferralState.Delivered;
        return closure.Told is null && !nobodyHasIt && !knowsItself ? ClosureOutcome.NobodyTold : null;
    }

    private static void End(ServiceRequest request, ReferralClosure closure, ClosureJudgement judgement)
    {
        if (request.Status is not (RequestStatus.Revoked or RequestStatus.EnteredInError))
        {
            request.Status = EnumUtility.ParseLiteral<RequestStatus>(judgement.Request);
        }

        request.Note.Add(new Annotation
        {
            Author = new FhirString($"{closure.Person}, {closure.Role}"),
            TimeElement = new FhirDateTime(closure.At),
            Text = $"{closure.Reason}: {closure.Text}",
        });
    }

    private static async System.Threading.Tasks.Task ChangeRequestAsync(
        StoreContext store, ReferralRow referral, DateTimeOffset now, Action<ServiceRequest> change, CancellationToken cancellationToken)
    {
        var row = await store.Resources.SingleAsync(each => each.Type == "ServiceRequest" && each.Id == referral.ReferralId, cancellationToken);
        var request = (ServiceRequest)await ReadAsync(store, row, cancellationToken);
        change(request);
        await ResourceWriter.PutAsync(store, Stored(row), request, Owner(referral), null, now, cancellationToken);
    }

    private static ResourceOwner Owner(ReferralRow referral) =>
        new(referral.ClinicId, referral.PracticeOds, referral.PatientKey, referral.EncounterKey);

    private static Dictionary<(string Type, string Id), ResourceRow> Stored(ResourceRow row) => new() { [(row.Type, row.Id)] = row };
}
