using EarReferral.Storage.Schema;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Alarms;

/// <summary>Whether each channel works, and how far each receiver of notices has got; in the database, so that all nodes share it.</summary>
public sealed class ChannelStore
{
    private readonly StoreDatabase database;

    internal ChannelStore(StoreDatabase database) => this.database = database;

    /// <summary>All channels that anything is known of, by name.</summary>
    public Task<IReadOnlyList<ChannelState>> ListAsync(Reach.Everything reach, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(reach);
        return database.ReadAsync<IReadOnlyList<ChannelState>>(async store =>
            [.. (await store.Channels.OrderBy(row => row.Name).ToListAsync(cancellationToken))
                .Select(row => new ChannelState(row.Name, row.FailingSince, row.LastTakenAt, row.LastOutcome, row.NextAt, row.Position))]);
    }

    /// <summary>Takes the turn of a channel when it is due, and plans the next try; null when it is not, or another node took it.</summary>
    public async Task<ChannelState?> ClaimAsync(string name, DateTimeOffset now, DateTimeOffset nextTry, CancellationToken cancellationToken)
    {
        if (await database.ReadAsync(store => store.Channels.AnyAsync(row => row.Name == name && row.NextAt > now, cancellationToken)))
        {
            return null;
        }

        return await database.WriteAsync(
            async store =>
            {
                await store.LockAsync($"channel {name}", cancellationToken);
                var row = await AlarmStore.ChannelAsync(store, name, now, null, null, cancellationToken);
                if (row.NextAt > now)
                {
                    return null;
                }

                row.NextAt = nextTry;
                return new ChannelState(row.Name, row.FailingSince, row.LastTakenAt, row.LastOutcome, row.NextAt, row.Position);
            },
            cancellationToken);
    }

    /// <summary>Keeps how a message ended that is no alarm's; the next turn is only moved when a time is given.</summary>
    public async Task RecordAsync(string name, DateTimeOffset now, bool taken, string outcome, DateTimeOffset? next, long? position, CancellationToken cancellationToken) =>
        await database.WriteAsync(
            async store =>
            {
                var row = await AlarmStore.ChannelAsync(store, name, now, taken, outcome, cancellationToken);
                row.NextAt = next ?? row.NextAt;
                row.Position = position ?? row.Position;
                return true;
            },
            cancellationToken);
}
