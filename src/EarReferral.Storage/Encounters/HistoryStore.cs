using EarReferral.Storage.Schema;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Encounters;

/// <summary>Earlier visits of a patient, and later visits that must be looked at again because of them.</summary>
public sealed class HistoryStore
{
    private readonly StoreDatabase database;

    internal HistoryStore(StoreDatabase database) => this.database = database;

    /// <summary>The earlier visits of the same patient at the same clinic, by the written rule of who is the same.</summary>
    public Task<EarlierEncounters> EarlierAsync(HistoryQuestion question, CancellationToken cancellationToken) =>
        database.ReadAsync(async store =>
        {
            var (keys, withheld) = await VisitsOfPatient.FindAsync(store, question, cancellationToken);
            var rows = withheld ? [] : await VisitsOfPatient.EarlierAsync(store, keys, question.Before, cancellationToken);
            return new EarlierEncounters([.. rows.Select(EncounterStore.Read)], withheld);
        });

    /// <summary>Visits that must be looked at again, or were and differ, the longest first.</summary>
    public Task<IReadOnlyList<HistoryReview>> ReviewsAsync(Reach reach, CancellationToken cancellationToken) =>
        database.ReadAsync<IReadOnlyList<HistoryReview>>(async store =>
        {
            var rows = await store.HistoryReviews.AsNoTracking().Within(reach).OrderBy(row => row.FoundAt).ToListAsync(cancellationToken);
            return [.. rows.Select(row => new HistoryReview(row.EncounterKey, row.Revision, row.ClinicId, row.Cause, row.FoundAt, row.Finding))];
        });

    /// <summary>Keeps what differs, or ends the review where nothing does. Changes nothing where another earlier visit came meanwhile.</summary>
    /// <param name="review">The review as it was read.</param>
    /// <param name="finding">What differs; null for nothing.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public Task SettleAsync(HistoryReview review, string? finding, CancellationToken cancellationToken) =>
        database.WriteAsync(
            store =>
            {
                var same = store.HistoryReviews.Where(row => row.EncounterKey == review.EncounterKey && row.Revision == review.Revision && row.FoundAt == review.FoundAt);
                return finding is null
                    ? same.ExecuteDeleteAsync(cancellationToken)
                    : same.ExecuteUpdateAsync(set => set.SetProperty(row => row.Finding, finding), cancellationToken);
            },
            cancellationToken);
}
