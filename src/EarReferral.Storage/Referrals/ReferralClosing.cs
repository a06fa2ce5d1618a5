using EarReferral.Storage.Alarms;
using EarReferral.Storage.Audit;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using EarReferral.Storage.Sending;
using Hl7.Fhir.Model;
using Hl7.Fhir.Utility;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Referrals;

/// <summary>Closes a referral, and wakes a closed one up again, within the caller's transaction.</summary>
internal static class ReferralClosing
{
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
    /// Wakes a closed referral up when the receiver takes the work up again, or adds to what it had completed. Other news of a
    /// closed referral ends nothing and begins nothing.
    /// </summary>
    public static async System.Threading.Tasks.Task FollowReportAsync(
        StoreContext store, ReferralRow referral, string newStatus, DateTimeOffset now, CancellationToken cancellationToken)
    {
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
        var json = await store.ResourceVersions
            .Where(version => version.ResourceKey == row.Key && version.Version == row.Version)
            .Select(version => version.Json)
            .SingleAsync(cancellationToken);
        var request = (ServiceRequest)ResourceJson.Parse(json);
        change(request);
        await ResourceWriter.PutAsync(store, Stored(row), request, Owner(referral), null, now, cancellationToken);
    }

    private static ResourceOwner Owner(ReferralRow referral) =>
        new(referral.ClinicId, referral.PracticeOds, referral.PatientKey, referral.EncounterKey);

    private static Dictionary<(string Type, string Id), ResourceRow> Stored(ResourceRow row) => new() { [(row.Type, row.Id)] = row };
}
