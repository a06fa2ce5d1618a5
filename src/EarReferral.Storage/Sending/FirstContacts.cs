using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Sending;

/// <summary>
/// Keeps two sends apart that would both bring the same person or organisation to a destination for the first time. Conditional
/// creation looks and then creates; FHIR R4 does not promise that nobody comes in between, and a patient who exists twice at a
/// receiver stops every later referral with <c>multiple-matches</c>. A send is under way while its lease runs, and after an attempt
/// without a clear end until the receiver has had time to finish with it.
/// </summary>
internal static class FirstContacts
{
    /// <summary>The first of the candidates that meets no send under way, its own earlier attempt included; null when all do.</summary>
    public static async Task<OutboxRow?> ChooseAsync(
        StoreContext store, string destination, IReadOnlyList<OutboxRow> candidates, DateTimeOffset leaseNow, IReadOnlyCollection<string> own, CancellationToken cancellationToken)
    {
        var underWay = await UnderWayAsync(store, destination, leaseNow, own, cancellationToken);
        if (underWay.Count == 0)
        {
            return candidates.Count == 0 ? null : candidates[0];
        }

        foreach (var candidate in candidates)
        {
            var request = await RequestAsync(store, candidate.ReferralId, cancellationToken);
            var met = SharedResources.Of(request).Where(underWay.Contains).ToList();
            if (met.Count == 0 || await store.KnownResources.CountAsync(row => row.Destination == destination && met.Contains(row.Key), cancellationToken) == met.Count)
            {
                return candidate;
            }
        }

        return null;
    }

    /// <summary>Keeps what a proof of delivery says about people and organisations.</summary>
    public static async Task KeepAsync(StoreContext store, ClaimedSend claim, CancellationToken cancellationToken)
    {
        var shared = SharedResources.Of(claim.Request).ToList();
        var known = await store.KnownResources
            .Where(row => row.Destination == claim.Destination && shared.Contains(row.Key))
            .Select(row => row.Key)
            .ToListAsync(cancellationToken);
        foreach (var key in shared.Except(known))
        {
            // Two deliveries may prove the same at the same moment.
            await store.Database.ExecuteSqlAsync(
                $"INSERT INTO known_resource (destination, key) VALUES ({claim.Destination}, {key}) ON CONFLICT DO NOTHING", cancellationToken);
        }
    }

    private static async Task<HashSet<string>> UnderWayAsync(StoreContext store, string destination, DateTimeOffset leaseNow, IReadOnlyCollection<string> own, CancellationToken cancellationToken)
    {
        var held = await store.Outbox
            .Where(row => row.Destination == destination && (row.LeaseUntil > leaseNow || row.SettledAt > leaseNow || own.Contains(row.ReferralId)))
            .Select(row => row.ReferralId)
            .ToListAsync(cancellationToken);
        var keys = new HashSet<string>(StringComparer.Ordinal);
        foreach (var id in held)
        {
            keys.UnionWith(SharedResources.Of(await RequestAsync(store, id, cancellationToken)));
        }

        return keys;
    }

    private static Task<byte[]> RequestAsync(StoreContext store, string referralId, CancellationToken cancellationToken) =>
        store.Referrals.Where(row => row.ReferralId == referralId).Select(row => row.Request).SingleAsync(cancellationToken);
}
