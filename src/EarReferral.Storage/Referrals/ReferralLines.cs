using System.Linq.Expressions;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Referrals;

/// <summary>Referrals as lines and figures need them: without the bytes that are sent, which are large.</summary>
public sealed class ReferralLines
{
    private readonly StoreDatabase database;

    internal ReferralLines(StoreDatabase database) => this.database = database;

    internal static Expression<Func<ReferralRow, StoredReferral>> WithoutBytes { get; } = row => new StoredReferral(
        row.ReferralId,
        row.TaskId,
        row.EncounterKey,
        row.PatientKey,
        row.ClinicId,
        row.PracticeOds,
        row.Destination ?? string.Empty,
        row.Tier,
        row.Lane,
        row.Due,
        row.State,
        row.TaskStatus,
        row.BusinessStatus,
        NoBytes(row.Lane),
        row.RequestSha256,
        row.IdempotencyKey,
        row.CorrelationId,
        null,
        row.CreatedAt,
        row.EvaluatedAt,
        row.ChangedAt,
        row.ReplacedBy)
    { Objection = row.Objection };

    /// <summary>Referrals that were decided in a span, in the order of the decision.</summary>
    /// <param name="reach">Whose.</param>
    /// <param name="from">First instant.</param>
    /// <param name="until">First instant after the span.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public Task<IReadOnlyList<StoredReferral>> DecidedAsync(Reach reach, DateTimeOffset from, DateTimeOffset until, CancellationToken cancellationToken) =>
        ReadAsync(store => store.Referrals.Within(reach).Where(row => row.EvaluatedAt >= from && row.EvaluatedAt < until), cancellationToken);

    /// <summary>Referrals that nobody has closed or taken back before sending, in the order of the decision.</summary>
    public Task<IReadOnlyList<StoredReferral>> OpenAsync(Reach reach, CancellationToken cancellationToken) =>
        ReadAsync(store => store.Referrals.Within(reach).Where(row => row.State != ReferralState.Closed && row.State != ReferralState.Withdrawn), cancellationToken);

    // Entity Framework takes no constant of this type into a query; what hangs on the row it computes here.
    private static ReadOnlyMemory<byte> NoBytes(int lane) => new byte[lane & 0];

    private Task<IReadOnlyList<StoredReferral>> ReadAsync(Func<StoreContext, IQueryable<ReferralRow>> wanted, CancellationToken cancellationToken) =>
        database.ReadAsync<IReadOnlyList<StoredReferral>>(async store => await wanted(store).OrderBy(row => row.EvaluatedAt).ThenBy(row => row.ReferralId).Select(WithoutBytes).ToListAsync(cancellationToken));
}
