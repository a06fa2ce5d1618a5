using EarReferral.Storage.Audit;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Sending;

/// <summary>Pause and breaker of each destination, in the database so that all nodes see them.</summary>
public sealed class DestinationStore
{
    private static readonly BreakerState Closed = new(BreakerPosition.Closed, null, 0);

    private readonly StoreDatabase database;

    internal DestinationStore(StoreDatabase database) => this.database = database;

    /// <summary>State of a destination; one nothing was ever recorded for is neither paused nor broken.</summary>
    public Task<DestinationState> FindAsync(string destination, CancellationToken cancellationToken) =>
        database.ReadAsync(async store =>
        {
            var row = await store.Destinations.SingleOrDefaultAsync(each => each.Name == destination, cancellationToken);
            return row is null ? new DestinationState(destination, false, null, Closed) : Read(row);
        });

    /// <summary>Stops or resumes sending to a destination; sends wait meanwhile.</summary>
    public Task<DestinationState> PauseAsync(
        string destination, bool paused, string actor, DateTimeOffset now, CancellationToken cancellationToken) =>
        database.WriteAsync(
            async store =>
            {
                var row = await FindOrAddAsync(store, destination, cancellationToken);
                row.Paused = paused;
                row.PausedBy = paused ? actor : null;
                row.Change++;
                store.Add(AuditStore.Row(new AuditEntry(
                    now, paused ? AuditAction.Hold : AuditAction.Release, AuditResult.Success, actor, string.Empty,
                    ResourceType: "Endpoint", ResourceId: destination)));
                return Read(row);
            },
            cancellationToken);

    /// <summary>Changes a breaker by a pure function of its state; applied again when another node changed it in between.</summary>
    public Task<BreakerState> ChangeBreakerAsync(
        string destination, Func<BreakerState, BreakerState> policy, CancellationToken cancellationToken) =>
        database.WriteAsync(
            async store =>
            {
                var row = await FindOrAddAsync(store, destination, cancellationToken);
                var before = Read(row).Breaker;
                var after = policy(before);
                if (after != before)
                {
                    row.Breaker = after.Position;
                    row.BreakerUntil = after.Until;
                    row.ConsecutiveFailures = after.ConsecutiveFailures;
                    row.Change++;
                }

                return after;
            },
            cancellationToken);

    private static async Task<DestinationRow> FindOrAddAsync(StoreContext store, string destination, CancellationToken cancellationToken)
    {
        var row = await store.Destinations.SingleOrDefaultAsync(each => each.Name == destination, cancellationToken);
        if (row is null)
        {
            row = new DestinationRow
            {
                Name = destination,
                Paused = false,
                PausedBy = null,
                Breaker = BreakerPosition.Closed,
                BreakerUntil = null,
                ConsecutiveFailures = 0,
                Change = 0,
            };
            store.Add(row);
        }

        return row;
    }

    private static DestinationState Read(DestinationRow row) => new(
        row.Name, row.Paused, row.PausedBy, new BreakerState(row.Breaker, row.BreakerUntil, row.ConsecutiveFailures));
}
