using EarReferral.Storage.Audit;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Alarms;

/// <summary>Alarms, who was told of them and who took them on.</summary>
public sealed class AlarmStore
{
    /// <summary>An acknowledged alarm whose cause still stands is raised anew after this time: taking on is not settling (our own choice).</summary>
    public static readonly TimeSpan RemindAfter = TimeSpan.FromDays(1);

    private readonly StoreDatabase database;

    internal AlarmStore(StoreDatabase database) => this.database = database;

    /// <summary>Raises an alarm unless one with its key is open or was acknowledged lately. True when it is new.</summary>
    public async Task<bool> RaiseAsync(AlarmCause cause, DateTimeOffset now, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(cause);

        // Looks before it locks: what stands for hours is seen twice a minute.
        return await database.ReadAsync(store => IsNewAsync(store, cause.Key, now, cancellationToken))
            && await database.WriteAsync(store => RaiseAsync(store, cause, now, cancellationToken), cancellationToken);
    }

    /// <summary>Takes the most urgent alarm whose next step is due, until the lease ends; null when none is.</summary>
    public async Task<Alarm?> ClaimAsync(DateTimeOffset now, TimeSpan lease, CancellationToken cancellationToken)
    {
        var due = await database.ReadAsync(store => store.Alarms
            .Where(row => row.AcknowledgedAt == null && row.NextAt <= now)
            .OrderBy(row => row.Tier).ThenBy(row => row.NextAt).ThenBy(row => row.Id)
            .FirstOrDefaultAsync(cancellationToken));
        if (due is null)
        {
            return null;
        }

        var until = now + lease;
        var taken = await database.WriteAsync(
            store => store.Alarms
                .Where(row => row.Id == due.Id && row.NextAt == due.NextAt && row.AcknowledgedAt == null)
                .ExecuteUpdateAsync(set => set.SetProperty(row => row.NextAt, until), cancellationToken),
            cancellationToken);
        return taken == 1 ? Read(due) with { NextAt = until } : null;
    }

    /// <summary>Keeps how a try to tell somebody ended.</summary>
    public async Task RecordAsync(string alarmId, AlarmMessage message, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(message);
        await database.WriteAsync(
            async store =>
            {
                store.Add(new AlarmMessageRow
                {
                    AlarmId = alarmId,
                    MessageId = message.MessageId,
                    Step = message.Step,
                    Channel = message.Channel,
                    At = message.At,
                    Taken = message.Taken,
                    Outcome = message.Outcome,
                });
                await ChannelAsync(store, message.Channel, message.At, message.Taken, message.Outcome, cancellationToken);
                return true;
            },
            cancellationToken);
    }

    /// <summary>Plans the next step of a claimed alarm. False when the claim was lost, or somebody acknowledged it meanwhile.</summary>
    public Task<bool> MoveAsync(Alarm claimed, int step, DateTimeOffset next, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(claimed);
        return database.WriteAsync(
            async store => await store.Alarms
                .Where(row => row.Id == claimed.Id && row.NextAt == claimed.NextAt && row.AcknowledgedAt == null)
                .ExecuteUpdateAsync(set => set.SetProperty(row => row.Step, step).SetProperty(row => row.NextAt, next), cancellationToken) == 1,
            cancellationToken);
    }

    /// <summary>Takes an alarm on, with an audit row.</summary>
    public Task<AcknowledgeOutcome> AcknowledgeAsync(Reach reach, string alarmId, Acknowledgement by, string actor, string requestId, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(by);
        return database.WriteAsync<AcknowledgeOutcome>(
            async store =>
            {
                var row = await store.Alarms.Within(reach).SingleOrDefaultAsync(each => each.Id == alarmId, cancellationToken);
                if (row is null or { AcknowledgedAt: not null })
                {
                    return (row is null ? AcknowledgeOutcome.NotFound : AcknowledgeOutcome.Before, false);
                }

                (row.AcknowledgedAt, row.AcknowledgedBy, row.Note) = (by.At, by.Person, by.Note);
                store.Add(AuditStore.Row(new AuditEntry(
                    by.At, AuditAction.Update, AuditResult.Success, actor, row.ClinicId, row.PracticeOds, ResourceType: "Flag", ResourceId: row.Id, RequestId: requestId,
                    Purpose: $"alarm acknowledged by {by.Person}")));
                return (AcknowledgeOutcome.Acknowledged, true);
            },
            cancellationToken);
    }

    /// <summary>The alarm with this id.</summary>
    public Task<Alarm?> FindAsync(Reach reach, string alarmId, CancellationToken cancellationToken) => database.ReadAsync(async store =>
    {
        var row = await store.Alarms.Within(reach).SingleOrDefaultAsync(each => each.Id == alarmId, cancellationToken);
        return row is null ? null : Read(row);
    });

    /// <summary>Alarms in the order in which they were raised.</summary>
    public Task<Page<Alarm>> ListAsync(Reach reach, bool openOnly, string? cursor, int count, CancellationToken cancellationToken) => database.ReadAsync(async store =>
    {
        var rows = store.Alarms.Within(reach).Where(row => !openOnly || row.AcknowledgedAt == null);
        if (Cursor.Read(cursor) is { } after)
        {
            var time = DateTimeOffset.FromUnixTimeMilliseconds(after.Position);
            rows = rows.Where(row => row.RaisedAt > time || (row.RaisedAt == time && string.Compare(row.Id, after.Id) > 0));
        }

        var page = await rows.OrderBy(row => row.RaisedAt).ThenBy(row => row.Id).Take(count + 1).ToListAsync(cancellationToken);
        return Cursor.Page(page, count, Read, row => new Cursor(row.RaisedAt.ToUnixTimeMilliseconds(), row.Id));
    });

    /// <summary>Every try to tell somebody of an alarm, oldest first.</summary>
    public Task<IReadOnlyList<AlarmMessage>> MessagesAsync(Reach reach, string alarmId, CancellationToken cancellationToken) =>
        database.ReadAsync<IReadOnlyList<AlarmMessage>>(async store => await store.Alarms.Within(reach)
            .Where(row => row.Id == alarmId)
            .Join(store.AlarmMessages, row => row.Id, message => message.AlarmId, (row, message) => message)
            .OrderBy(row => row.Id)
            .Select(row => new AlarmMessage(row.MessageId, row.Step, row.Channel, row.At, row.Taken, row.Outcome))
            .ToListAsync(cancellationToken));

    internal static async Task<bool> RaiseAsync(StoreContext store, AlarmCause cause, DateTimeOffset now, CancellationToken cancellationToken)
    {
        await store.LockAsync($"alarm {cause.Key}", cancellationToken);
        if (!await IsNewAsync(store, cause.Key, now, cancellationToken))
        {
            return false;
        }

        store.Add(new AlarmRow
        {
            Id = Guid.CreateVersion7(now).ToString(),
            Key = cause.Key,
            Kind = cause.Kind,
            ClinicId = cause.ClinicId,
            ReferralId = cause.ReferralId,
            Tier = cause.Tier,
            Since = cause.Since,
            RaisedAt = now,
            Step = 0,
            NextAt = now,
        });
        return true;
    }

    /// <summary>Whoever closes a referral or has it taken by telephone has also taken on the alarms about that.</summary>
    internal static Task AcknowledgeAsync(StoreContext store, string referralId, string? kind, string person, DateTimeOffset now, CancellationToken cancellationToken) => store.Alarms
        .Where(row => row.ReferralId == referralId && row.AcknowledgedAt == null && (kind == null || row.Kind == kind))
        .ExecuteUpdateAsync(
            set => set.SetProperty(row => row.AcknowledgedAt, now).SetProperty(row => row.AcknowledgedBy, person),
            cancellationToken);

    internal static async Task<ChannelRow> ChannelAsync(StoreContext store, string name, DateTimeOffset now, bool? taken, string? outcome, CancellationToken cancellationToken)
    {
        var row = await store.Channels.SingleOrDefaultAsync(each => each.Name == name, cancellationToken);
        if (row is null)
        {
            row = new ChannelRow { Name = name, NextAt = now, Position = 0 };
            store.Add(row);
        }

        if (taken is { } went)
        {
            row.FailingSince = went ? null : row.FailingSince ?? now;
            row.LastTakenAt = went ? now : row.LastTakenAt;
            row.LastOutcome = outcome;
        }

        return row;
    }

    private static async Task<bool> IsNewAsync(StoreContext store, string key, DateTimeOffset now, CancellationToken cancellationToken)
    {
        var lately = now - RemindAfter;
        return !await store.Alarms.AnyAsync(row => row.Key == key && (row.AcknowledgedAt == null || row.AcknowledgedAt > lately), cancellationToken);
    }

    private static Alarm Read(AlarmRow row) => new(
        row.Id,
        new AlarmCause(row.Key, row.Kind, row.ClinicId, row.ReferralId, row.Tier, row.Since),
        row.RaisedAt,
        row.Step,
        row.NextAt,
        row.AcknowledgedAt is { } at ? new Acknowledgement(at, row.AcknowledgedBy!, row.Note) : null);
}
