using EarReferral.Storage.Schema;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Referrals;

/// <summary>Which changes of referrals the clinic's own software was told of.</summary>
public sealed class NoticeStore
{
    private readonly StoreDatabase database;

    internal NoticeStore(StoreDatabase database) => this.database = database;

    /// <summary>Referrals that changed since their clinic's software was told of them, longest unsaid first.</summary>
    /// <param name="reach">Whose.</param>
    /// <param name="since">What changed last before this instant is left out.</param>
    /// <param name="count">At most so many.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public Task<IReadOnlyList<StoredReferral>> UntoldAsync(Reach reach, DateTimeOffset since, int count, CancellationToken cancellationToken) =>
        database.ReadAsync<IReadOnlyList<StoredReferral>>(async store => [.. (await store.Referrals.Within(reach).AsNoTracking()
            .Where(row => row.ChangedAt > since && (row.ToldOf == null || row.ToldOf < row.ChangedAt))
            .OrderBy(row => row.ChangedAt).ThenBy(row => row.ReferralId)
            .Take(count)
            .ToListAsync(cancellationToken)).Select(ReferralStore.Read)]);

    /// <summary>Keeps that the clinic's software was told of a change.</summary>
    public Task<int> ToldAsync(Reach reach, string referralId, DateTimeOffset changedAt, CancellationToken cancellationToken) =>
        database.WriteAsync(
            store => store.Referrals.Within(reach)
                .Where(row => row.ReferralId == referralId)
                .ExecuteUpdateAsync(set => set.SetProperty(row => row.ToldOf, changedAt), cancellationToken),
            cancellationToken);
}
