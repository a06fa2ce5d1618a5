using EarReferral.Storage.Alarms;
using EarReferral.Storage.Audit;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using EarReferral.Storage.Sending;
using Hl7.Fhir.Model;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Referrals;

/// <summary>Referrals, their timeline, and what the receiver reports about them.</summary>
public sealed class ReferralStore
{
    private readonly StoreDatabase database;

    internal ReferralStore(StoreDatabase database) => this.database = database;

    /// <summary>The referral with this ServiceRequest id.</summary>
    public Task<StoredReferral?> FindAsync(Reach reach, string referralId, CancellationToken cancellationToken) =>
        database.ReadAsync(async store =>
        {
            var row = await store.Referrals.Within(reach).SingleOrDefaultAsync(each => each.ReferralId == referralId, cancellationToken);
            return row is null ? null : Read(row);
        });

    /// <summary>Whether any revision of an encounter made a referral, whatever became of it; for the summary of the next one.</summary>
    public Task<bool> ExistsForAsync(Reach reach, Guid encounterKey, CancellationToken cancellationToken) =>
        database.ReadAsync(store => store.Referrals.Within(reach).AnyAsync(row => row.EncounterKey == encounterKey, cancellationToken));

    /// <summary>Referrals of a patient of a clinic that somebody works on, without that of the visit itself, and the one that it was tied to before.</summary>
    /// <param name="clinicId">The clinic.</param>
    /// <param name="patientKey">Patient seed.</param>
    /// <param name="encounterKey">The visit.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public Task<IReadOnlyList<OpenReferral>> OpenForAsync(string clinicId, Guid patientKey, Guid encounterKey, CancellationToken cancellationToken) =>
        database.ReadAsync<IReadOnlyList<OpenReferral>>(store => LaterVisits.OpenAsync(store, clinicId, patientKey, encounterKey, cancellationToken));

    /// <summary>The referral that this Task belongs to.</summary>
    public Task<StoredReferral?> FindByTaskAsync(Reach reach, string taskId, CancellationToken cancellationToken) =>
        database.ReadAsync(async store =>
        {
            var row = await store.Referrals.Within(reach).SingleOrDefaultAsync(each => each.TaskId == taskId, cancellationToken);
            return row is null ? null : Read(row);
        });

    /// <summary>Referrals by the time they last changed, oldest change first; one that changes meanwhile comes again.</summary>
    public Task<Page<StoredReferral>> ListAsync(Reach reach, string? cursor, int count, CancellationToken cancellationToken) =>
        database.ReadAsync(async store =>
        {
            var rows = store.Referrals.Within(reach);
            if (Cursor.Read(cursor) is { } after)
            {
                var time = DateTimeOffset.FromUnixTimeMilliseconds(after.Position);
                rows = rows.Where(row => row.ChangedAt > time
                    || (row.ChangedAt == time && string.Compare(row.ReferralId, after.Id) > 0));
            }

            var page = await rows
                .OrderBy(row => row.ChangedAt).ThenBy(row => row.ReferralId)
                .Take(count + 1)
                .ToListAsync(cancellationToken);
            return Cursor.Page(page, count, Read, row => new Cursor(row.ChangedAt.ToUnixTimeMilliseconds(), row.ReferralId));
        });

    /// <summary>What happened to a referral, oldest first; empty when it is not within reach.</summary>
    public Task<IReadOnlyList<ReferralEvent>> TimelineAsync(Reach reach, string referralId, CancellationToken cancellationToken) =>
        database.ReadAsync<IReadOnlyList<ReferralEvent>>(async store => await store.Referrals.Within(reach)
            .Where(row => row.ReferralId == referralId)
            .Join(store.ReferralEvents, row => row.ReferralId, entry => entry.ReferralId, (row, entry) => entry)
            .OrderBy(entry => entry.Id)
            .Select(entry => new ReferralEvent(
                entry.At, entry.Kind, entry.Actor, entry.TaskStatus, entry.BusinessStatus, entry.Detail))
            .ToListAsync(cancellationToken));

    /// <summary>Adds a line to the timeline. False when no such referral is within reach.</summary>
    public Task<bool> AppendEventAsync(Reach reach, string referralId, ReferralEvent entry, CancellationToken cancellationToken) =>
        database.WriteAsync(
            async store =>
            {
                var row = await store.Referrals.Within(reach).SingleOrDefaultAsync(each => each.ReferralId == referralId, cancellationToken);
                if (row is null)
                {
                    return false;
                }

                row.ChangedAt = entry.At;
                store.Add(ReferralWriter.Event(referralId, entry));
                return true;
            },
            cancellationToken);

    /// <summary>
    /// Adds an alarm to the timeline, once per kind and tier, whichever process sees it first. False when the line stands already, the
    /// tier has changed meanwhile, or nobody waits for the referral any more.
    /// </summary>
    public Task<bool> RaiseOnceAsync(Reach reach, string referralId, string tier, ReferralEvent alarm, CancellationToken cancellationToken) =>
        database.WriteAsync(
            async store =>
            {
                await ReferralWriter.LockAsync(store, referralId, cancellationToken);
                var row = await store.Referrals.Within(reach).SingleOrDefaultAsync(each => each.ReferralId == referralId, cancellationToken);
                if (row is null or { State: ReferralState.Closed or ReferralState.Withdrawn or ReferralState.WithdrawnAfterSending } || row.Tier != tier)
                {
                    return (false, false);
                }

                var mark = AlarmMark(tier);
                if (await store.ReferralEvents.AnyAsync(
                    line => line.ReferralId == referralId && line.Kind == alarm.Kind && line.Detail!.StartsWith(mark), cancellationToken))
                {
                    return (false, false);
                }

                row.ChangedAt = alarm.At;
                store.Add(ReferralWriter.Event(referralId, alarm with { Detail = mark + alarm.Detail }));
                // In one transaction: a line without an alarm would tell nobody, and would keep the alarm from being raised later.
                await AlarmStore.RaiseAsync(store, new AlarmCause(AlarmKey(alarm.Kind, referralId, tier), alarm.Kind, row.ClinicId, referralId, tier, row.EvaluatedAt), alarm.At, cancellationToken);
                return (true, true);
            },
            cancellationToken);

    /// <summary>Closes a referral: state, Task, ServiceRequest, timeline and audit in one transaction; or says what stands against it.</summary>
    public Task<ClosureOutcome> CloseAsync(
        Reach reach, string referralId, ReferralClosure closure, ClosureJudgement judgement, CancellationToken cancellationToken) =>
        database.WriteAsync<ClosureOutcome>(
            store => ReferralClosing.CloseAsync(store, reach, referralId, closure, judgement, cancellationToken), cancellationToken);

    /// <summary>Timeline word of a cancellation that the receiver has been asked for.</summary>
    public const string CancelAsked = ReferralClosing.CancelAsked;

    /// <summary>Cancels a referral that no receiver has begun, in one transaction; it stays open until a clinician closes it.</summary>
    public Task<ClosureOutcome> CancelAsync(
        Reach reach, string referralId, ReferralClosure cancellation, ClosureJudgement judgement, CancellationToken cancellationToken) =>
        database.WriteAsync<ClosureOutcome>(
            store => ReferralClosing.CancelAsync(store, reach, referralId, cancellation, judgement, cancellationToken), cancellationToken);

    /// <summary>Keeps that a receiver was asked to stop its work, with the abort Task that it answers by the end it reports.</summary>
    public Task<ClosureOutcome> AskToCancelAsync(
        Reach reach, string referralId, ReferralClosure cancellation, ClosureJudgement judgement, Hl7.Fhir.Model.Task asked, Hl7.Fhir.Model.Task abort, CancellationToken cancellationToken) =>
        database.WriteAsync<ClosureOutcome>(
            store => ReferralClosing.AskToCancelAsync(store, reach, referralId, cancellation, judgement, asked, abort, cancellationToken), cancellationToken);

    /// <summary>Keeps a resource that belongs to a referral, such as a reply, with its line; repeated, it changes nothing. False when no such referral is within reach.</summary>
    public Task<bool> AttachAsync(Reach reach, string referralId, Resource resource, ReferralEvent entry, string requestId, CancellationToken cancellationToken) =>
        database.WriteAsync(
            async store =>
            {
                await ReferralWriter.LockAsync(store, referralId, cancellationToken);
                var row = await store.Referrals.Within(reach).SingleOrDefaultAsync(each => each.ReferralId == referralId, cancellationToken);
                if (row is null)
                {
                    return (false, false);
                }

                var stored = await ResourceWriter.LoadAsync(store, [resource], cancellationToken);
                if (stored.Count > 0)
                {
                    return (true, false);
                }

                await ResourceWriter.PutAsync(store, stored, resource, new ResourceOwner(row.ClinicId, row.PracticeOds, row.PatientKey, row.EncounterKey), row.Destination, entry.At, cancellationToken);
                row.ChangedAt = entry.At > row.ChangedAt ? entry.At : row.ChangedAt.AddMilliseconds(1);
                store.Add(ReferralWriter.Event(referralId, entry));
                store.Add(AuditStore.Row(Audit(entry.At, AuditAction.Create, entry.Actor, row, resource.TypeName, resource.Id!) with { RequestId = requestId }));
                return (true, true);
            },
            cancellationToken);

    /// <summary>Keeps a telephone call once, with an audit row; one that was taken takes on the alarms about the delivery. False when no such referral is within reach.</summary>
    public Task<bool> CalledAsync(Reach reach, string referralId, ReferralEvent call, string person, bool taken, string requestId, CancellationToken cancellationToken) =>
        database.WriteAsync(
            async store =>
            {
                await ReferralWriter.LockAsync(store, referralId, cancellationToken);
                var row = await store.Referrals.Within(reach).SingleOrDefaultAsync(each => each.ReferralId == referralId, cancellationToken);
                if (row is null)
                {
                    return (false, false);
                }

                if (await store.ReferralEvents.AnyAsync(line => line.ReferralId == referralId && line.Kind == call.Kind && line.Detail == call.Detail, cancellationToken))
                {
                    return (true, false);
                }

                row.ChangedAt = call.At > row.ChangedAt ? call.At : row.ChangedAt.AddMilliseconds(1);
                store.Add(ReferralWriter.Event(referralId, call));
                store.Add(AuditStore.Row(Audit(call.At, AuditAction.Update, call.Actor, row, "ServiceRequest", referralId) with { RequestId = requestId, Purpose = $"{call.Kind}, by {person}" }));
                if (taken)
                {
                    await AlarmStore.AcknowledgeAsync(store, referralId, "delivery-overdue", person, call.At, cancellationToken);
                }

                return (true, true);
            },
            cancellationToken);

    /// <summary>Beginning of an alarm's sentence, by which its tier is known again.</summary>
    public static string AlarmMark(string tier) => $"{tier}: ";

    /// <summary>Key of the alarm about a referral.</summary>
    public static string AlarmKey(string kind, string referralId, string tier) => $"{kind}/{referralId}/{tier}";

    /// <summary>Lets a held referral go out. False when none is held within reach.</summary>
    public Task<bool> ReleaseAsync(
        Reach reach, string referralId, string actor, DateTimeOffset now, CancellationToken cancellationToken) =>
        QueueAgainAsync(reach, referralId, SendState.Held, "released", AuditAction.Release, actor, now, cancellationToken);

    /// <summary>Sends again what had stopped for a person. False when none has within reach.</summary>
    public Task<bool> ReplayAsync(
        Reach reach, string referralId, string actor, DateTimeOffset now, CancellationToken cancellationToken) =>
        QueueAgainAsync(reach, referralId, SendState.NeedsHuman, "replayed", AuditAction.Override, actor, now, cancellationToken);

    /// <summary>
    /// Applies a Task update that was found lawful: new Task version, state, timeline and audit in one transaction.
    /// </summary>
    /// <param name="reach">Who may update it.</param>
    /// <param name="taskId">Id of the Task.</param>
    /// <param name="expectedVersion">Version that the update was judged against.</param>
    /// <param name="task">The Task as it is to be stored.</param>
    /// <param name="newStatus">Its status code.</param>
    /// <param name="businessStatus">Its business status code.</param>
    /// <param name="entry">Line of the timeline; its time is the time of the version.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public Task<TaskUpdateOutcome> ApplyTaskUpdateAsync(
        Reach reach,
        string taskId,
        int expectedVersion,
        Resource task,
        string newStatus,
        string? businessStatus,
        ReferralEvent entry,
        CancellationToken cancellationToken) =>
        database.WriteAsync<TaskUpdateOutcome>(
            async store =>
            {
                var referralId = await store.Referrals.Within(reach)
                    .Where(each => each.TaskId == taskId).Select(each => each.ReferralId).SingleOrDefaultAsync(cancellationToken);
                if (referralId is null)
                {
                    return (new TaskUpdateOutcome.NotFound(), false);
                }

                await ReferralWriter.LockAsync(store, referralId, cancellationToken);
                var row = await store.Resources.Within(reach, store)
                    .SingleOrDefaultAsync(each => each.Type == "Task" && each.Id == taskId, cancellationToken);
                var referral = await store.Referrals.Within(reach)
                    .SingleOrDefaultAsync(each => each.TaskId == taskId, cancellationToken);
                if (row is null || referral is null)
                {
                    return (new TaskUpdateOutcome.NotFound(), false);
                }

                if (row.Version != expectedVersion)
                {
                    return (new TaskUpdateOutcome.Stale(row.Version), false);
                }

                var stored = new Dictionary<(string Type, string Id), ResourceRow> { [("Task", taskId)] = row };
                var owner = new ResourceOwner(row.ClinicId, row.PracticeOds, referral.PatientKey, referral.EncounterKey);
                var copy = (Resource)task.DeepCopy();
                copy.Id = taskId;
                var version = await ResourceWriter.PutAsync(store, stored, copy, owner, null, entry.At, cancellationToken);
                referral.TaskStatus = newStatus;
                referral.BusinessStatus = businessStatus;
                referral.ChangedAt = entry.At;
                store.Add(ReferralWriter.Event(
                    referral.ReferralId, entry with { TaskStatus = newStatus, BusinessStatus = businessStatus }));
                await ReferralClosing.FollowReportAsync(store, referral, newStatus, entry.At, cancellationToken);
                store.Add(AuditStore.Row(Audit(entry.At, AuditAction.Update, entry.Actor, referral, "Task", taskId)));
                return (new TaskUpdateOutcome.Applied(version), true);
            },
            cancellationToken);

    /// <summary>Keeps an update that was received and not applied, for review.</summary>
    public async System.Threading.Tasks.Task QuarantineAsync(QuarantinedUpdate update, CancellationToken cancellationToken) =>
        await database.WriteAsync(
            store =>
            {
                store.Add(new QuarantineRow
                {
                    At = update.At,
                    Source = update.Source,
                    TaskId = update.TaskId,
                    Reason = update.Reason,
                    Body = update.Body.ToArray(),
                });
                store.Add(AuditStore.Row(new AuditEntry(
                    update.At, AuditAction.Receive, AuditResult.MinorFailure, update.Source, string.Empty,
                    ResourceType: "Task", ResourceId: update.TaskId)));
                return System.Threading.Tasks.Task.FromResult(true);
            },
            cancellationToken);

    /// <summary>Updates that were not applied, newest first. Whose they are is not known, so only operators see them.</summary>
    public Task<Page<QuarantinedUpdate>> QuarantinedAsync(
        Reach.Everything reach, string? cursor, int count, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(reach);
        return database.ReadAsync(async store =>
        {
            var before = Cursor.Read(cursor)?.Position ?? long.MaxValue;
            var rows = await store.Quarantine
                .Where(row => row.Id < before)
                .OrderByDescending(row => row.Id)
                .Take(count + 1)
                .ToListAsync(cancellationToken);
            return Cursor.Page(
                rows,
                count,
                row => new QuarantinedUpdate(row.At, row.Source, row.TaskId, row.Reason, row.Body),
                row => new Cursor(row.Id, string.Empty));
        });
    }

    private Task<bool> QueueAgainAsync(
        Reach reach,
        string referralId,
        SendState from,
        string kind,
        AuditAction action,
        string actor,
        DateTimeOffset now,
        CancellationToken cancellationToken) =>
        database.WriteAsync(
            async store =>
            {
                var row = await store.Referrals.Within(reach).SingleOrDefaultAsync(each => each.ReferralId == referralId, cancellationToken);
                if (row is null)
                {
                    return (false, false);
                }

                var moved = await store.Outbox
                    .Where(send => send.ReferralId == referralId && send.State == from)
                    .ExecuteUpdateAsync(
                        set => set
                            .SetProperty(send => send.State, SendState.Waiting)
                            .SetProperty(send => send.NextAttemptAt, now)
                            .SetProperty(send => send.Reason, (string?)null)
                            .SetProperty(send => send.LeaseToken, (Guid?)null)
                            .SetProperty(send => send.LeaseUntil, (DateTimeOffset?)null),
                        cancellationToken);
                row.State = moved == 1 ? ReferralState.Queued : row.State;
                row.ChangedAt = now;
                store.Add(ReferralWriter.Event(referralId, new ReferralEvent(now, kind, actor)));
                store.Add(AuditStore.Row(Audit(now, action, actor, row, "ServiceRequest", referralId)));
                return (moved == 1, moved == 1);
            },
            cancellationToken);

    private static AuditEntry Audit(
        DateTimeOffset at, AuditAction action, string actor, ReferralRow referral, string type, string id) =>
        new(at, action, AuditResult.Success, actor, referral.ClinicId, referral.PracticeOds, referral.PatientKey, type, id);

    internal static StoredReferral Read(ReferralRow row) => new(
        row.ReferralId,
        row.TaskId,
        row.EncounterKey,
        row.PatientKey,
        row.ClinicId,
        row.PracticeOds,
        row.Destination!,
        row.Tier,
        row.Lane,
        row.Due,
        row.State,
        row.TaskStatus,
        row.BusinessStatus,
        row.Request,
        row.RequestSha256,
        row.IdempotencyKey,
        row.CorrelationId,
        row.Locations,
        row.CreatedAt,
        row.EvaluatedAt,
        row.ChangedAt,
        row.ReplacedBy)
    {
        Objection = row.Objection,
    };
}
