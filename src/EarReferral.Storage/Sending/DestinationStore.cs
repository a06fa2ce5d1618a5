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

    /// <summary>Every destination that anything was recorded for.</summary>
    public Task<IReadOnlyList<DestinationState>> ListAsync(Reach.Everything reach, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(reach);
        return database.ReadAsync<IReadOnlyList<DestinationState>>(async store =>
            [.. (await store.Destinations.OrderBy(row => row.Name).ToListAsync(cancellationToken)).Select(Read)]);
    }

    /// <summary>Keeps what a look at the capability statement found. A problem parks the destination; no problem resumes nothing by itself.</summary>
    /// <param name="destination">Destination.</param>
    /// <param name="mode">How referrals are sent there; null leaves what was found before.</param>
    /// <param name="updates">Whether it promises conditional update.</param>
    /// <param name="problem">What stands against it, without patient data; null when nothing does.</param>
    /// <param name="actor">Who looked.</param>
    /// <param name="now">When.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public Task<DestinationState> VerifiedAsync(
        string destination, ExchangeMode? mode, bool updates, string? problem, string actor, DateTimeOffset now, CancellationToken cancellationToken) =>
        database.WriteAsync(
            async store =>
            {
                var row = await FindOrAddAsync(store, destination, cancellationToken);
                (row.Mode, row.Updates, row.Problem) = (mode ?? row.Mode, mode is null ? row.Updates : updates, problem);
                row.VerifiedAt = problem is null ? now : row.VerifiedAt;
                if (problem is not null)
                {
                    (row.PausedBy, row.PausedAt, row.Paused) = (row.Paused ? row.PausedBy : actor, row.PausedAt ?? now, true);
                }

                row.Change++;
                store.Add(AuditStore.Row(new AuditEntry(
                    now, problem is null ? AuditAction.Read : AuditAction.Hold, problem is null ? AuditResult.Success : AuditResult.SeriousFailure, actor, string.Empty,
                    ResourceType: "Endpoint", ResourceId: destination, Purpose: "destination verified")));
                return Read(row);
            },
            cancellationToken);

    /// <summary>Stops or resumes sending to a destination; sends wait meanwhile.</summary>
    public Task<DestinationState> PauseAsync(
        string destination, bool paused, string actor, DateTimeOffset now, CancellationToken cancellationToken) =>
        database.WriteAsync(
            async store =>
            {
                var row = await FindOrAddAsync(store, destination, cancellationToken);
                row.Paused = paused;
                row.PausedBy = paused ? actor : null;
                row.PausedAt = paused ? row.PausedAt ?? now : null;
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
        row.Name, row.Paused, row.PausedBy, new BreakerState(row.Breaker, row.BreakerUntil, row.ConsecutiveFailures))
    {
        PausedAt = row.PausedAt,
        Mode = row.Mode,
        Updates = row.Updates,
        VerifiedAt = row.VerifiedAt,
        Problem = row.Problem,
    };
}
