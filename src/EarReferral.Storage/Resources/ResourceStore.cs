using System.Security.Cryptography;
using System.Text;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using EarReferral.Storage.Search;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Resources;

/// <summary>FHIR resources: read, versions, search. What is out of reach looks the same as what does not exist.</summary>
public sealed class ResourceStore
{
    private readonly StoreDatabase database;
    private readonly SearchIndexState index;

    internal ResourceStore(StoreDatabase database, SearchIndexState index) => (this.database, this.index) = (database, index);

    /// <summary>The current version.</summary>
    public Task<StoredResource?> ReadAsync(Reach reach, string type, string id, CancellationToken cancellationToken) =>
        database.ReadAsync(store => Current(store, store.Resources.Where(row => row.Type == type && row.Id == id).Within(reach, store))
            .SingleOrDefaultAsync(cancellationToken));

    /// <summary>One version. The reach is judged by whose the resource is now, not by whose it was then.</summary>
    public Task<StoredResource?> ReadVersionAsync(Reach reach, string type, string id, int version, CancellationToken cancellationToken) =>
        database.ReadAsync(store => Versions(store, reach, type, id, store.ResourceVersions.Where(row => row.Version == version))
            .SingleOrDefaultAsync(cancellationToken));

    /// <summary>All versions, newest first; empty when there is no such resource within reach.</summary>
    public Task<IReadOnlyList<StoredResource>> HistoryAsync(Reach reach, string type, string id, CancellationToken cancellationToken) =>
        database.ReadAsync<IReadOnlyList<StoredResource>>(async store =>
        [.. (await Versions(store, reach, type, id, store.ResourceVersions).ToListAsync(cancellationToken))
            .OrderByDescending(resource => resource.Version)]);

    /// <summary>Matches of a search within reach and what they bring along; the total counts nothing beyond it.</summary>
    /// <param name="reach">Whose data may be seen.</param>
    /// <param name="query">The search.</param>
    /// <param name="cursor">Cursor of the page before; one of another search or another reach is not taken, and the first page comes.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public Task<SearchPage> SearchAsync(Reach reach, SearchQuery query, string? cursor, CancellationToken cancellationToken) =>
        database.ReadAsync(async store =>
        {
            var matches = SearchSql.Matching(store, reach, query);
            int? total = query.WithTotal || query.Count == 0 ? await matches.CountAsync(cancellationToken) : null;
            var withheld = await SearchSql.CountWithheldAsync(store, reach, query, cancellationToken);
            if (query.Count == 0)
            {
                return new SearchPage([], total, null, withheld, []);
            }

            var fingerprint = Fingerprint(reach, query);
            var after = Cursor.Read(cursor) is { } read && read.Query == fingerprint ? read : null;
            var keys = await Ordered(matches, query, after)
                .Take(query.Count + 1)
                .Select(row => new { row.Key, row.Type, row.Id, row.SortDate, row.LastUpdated })
                .ToListAsync(cancellationToken);
            var (along, isCutShort) = query.Includes.Count == 0
                ? ([], false)
                : await IncludeReader.ReadAsync(store, reach, query.Includes, [.. keys.Take(query.Count).Select(row => (row.Key, row.Type, row.Id))], cancellationToken);
            var found = await LoadAsync(store, [.. keys.Take(query.Count).Select(row => row.Key), .. along], cancellationToken);
            var page = Cursor.Page(
                keys,
                query.Count,
                row => found[row.Key],
                row => new Cursor(
                    query.Sort switch
                    {
                        SearchSort.FirstStored => row.Key,
                        SearchSort.LastUpdated => row.LastUpdated.ToUnixTimeMilliseconds(),
                        SearchSort.Date => row.SortDate,
                    },
                    row.Id,
                    fingerprint));
            return new SearchPage(page.Items, total, page.Next, withheld, [.. along.Select(key => found[key])], isCutShort);
        });

    /// <summary>Parameters of the search that the index does not answer yet, since it is being renewed for them; then it must not be searched.</summary>
    public IReadOnlyList<string> NotYetIndexed(SearchQuery query) =>
        [.. query.Reads.Where(parameter => parameter.Since > index.Version).Select(parameter => parameter.Name).Distinct()];

    /// <summary>
    /// What is kept about a patient, or about one visit: the resource itself, everything recorded about it, and the people and
    /// organisations that this refers to. Null when there is no such resource within reach.
    /// </summary>
    public Task<EverythingPage?> EverythingAsync(Reach reach, string type, string id, EverythingQuery query, CancellationToken cancellationToken) =>
        database.ReadAsync(async store =>
        {
            var owner = await store.Resources.Where(row => row.Type == type && row.Id == id).Within(reach, store).SingleOrDefaultAsync(cancellationToken);
            if (owner is null)
            {
                return null;
            }

            var rows = EverythingSql.Of(store, reach, owner, query);
            var total = await rows.CountAsync(cancellationToken);
            var keys = await rows.Where(row => row.Key > query.After).OrderBy(row => row.Key).Select(row => row.Key).Take(query.Count + 1).ToListAsync(cancellationToken);
            var wanted = keys.Take(query.Count).ToList();
            var found = await LoadAsync(store, wanted, cancellationToken);
            return new EverythingPage([.. wanted.Select(key => found[key])], total, keys.Count > query.Count ? wanted[^1] : null);
        });

    internal static async Task<Dictionary<long, StoredResource>> LoadAsync(StoreContext store, List<long> keys, CancellationToken cancellationToken)
    {
        var found = new Dictionary<long, StoredResource>(keys.Count);
        foreach (var some in keys.Chunk(500))
        {
            var rows = await store.Resources.Where(row => some.Contains(row.Key))
                .Join(
                    store.ResourceVersions,
                    row => new { row.Key, row.Version },
                    version => new { Key = version.ResourceKey, version.Version },
                    (row, version) => new
                    {
                        row.Key,
                        Resource = new StoredResource(row.Type, row.Id, version.Version, version.LastUpdated, row.PatientKey, version.Json),
                    })
                .ToListAsync(cancellationToken);
            foreach (var row in rows)
            {
                found.Add(row.Key, row.Resource);
            }
        }

        return found;
    }

    private static IQueryable<StoredResource> Current(StoreContext store, IQueryable<ResourceRow> rows) => rows.Join(
        store.ResourceVersions,
        row => new { row.Key, row.Version },
        version => new { Key = version.ResourceKey, version.Version },
        (row, version) => new StoredResource(row.Type, row.Id, version.Version, version.LastUpdated, row.PatientKey, version.Json));

    private static IQueryable<StoredResource> Versions(
        StoreContext store, Reach reach, string type, string id, IQueryable<ResourceVersionRow> versions) =>
        from version in versions
        join row in store.Resources.Where(row => row.Type == type && row.Id == id).Within(reach, store) on version.ResourceKey equals row.Key
        select new StoredResource(row.Type, row.Id, version.Version, version.LastUpdated, row.PatientKey, version.Json);

    private static IQueryable<ResourceRow> Ordered(IQueryable<ResourceRow> rows, SearchQuery query, Cursor? after)
    {
        if (after is not null)
        {
            var (position, id) = (after.Position, after.Id);
            var time = query.Sort == SearchSort.LastUpdated ? DateTimeOffset.FromUnixTimeMilliseconds(position) : default;
            rows = (query.Sort, query.Descending) switch
            {
                (SearchSort.FirstStored, _) => rows.Where(row => row.Key > position),
                (SearchSort.Date, false) => rows.Where(row => row.SortDate > position
                    || (row.SortDate == position && string.Compare(row.Id, id) > 0)),
                (SearchSort.Date, true) => rows.Where(row => row.SortDate < position
                    || (row.SortDate == position && string.Compare(row.Id, id) > 0)),
                (SearchSort.LastUpdated, false) => rows.Where(row => row.LastUpdated > time
                    || (row.LastUpdated == time && string.Compare(row.Id, id) > 0)),
                (SearchSort.LastUpdated, true) => rows.Where(row => row.LastUpdated < time
                    || (row.LastUpdated == time && string.Compare(row.Id, id) > 0)),
            };
        }

        return (query.Sort, query.Descending) switch
        {
            (SearchSort.FirstStored, _) => rows.OrderBy(row => row.Key),
            (SearchSort.Date, false) => rows.OrderBy(row => row.SortDate).ThenBy(row => row.Id),
            (SearchSort.Date, true) => rows.OrderByDescending(row => row.SortDate).ThenBy(row => row.Id),
            (SearchSort.LastUpdated, false) => rows.OrderBy(row => row.LastUpdated).ThenBy(row => row.Id),
            (SearchSort.LastUpdated, true) => rows.OrderByDescending(row => row.LastUpdated).ThenBy(row => row.Id),
        };
    }

    /// <summary>Ties a cursor to its search and reach; a hash, so that the link to the next page says nothing.</summary>
    private static string Fingerprint(Reach reach, SearchQuery query)
    {
        var text = new StringBuilder().Append(reach).Append('\n').Append(query.Type);
        foreach (var (name, value) in query.Effective.Where(parameter => parameter.Key != "_count"))
        {
            text.Append('\n').Append(name).Append('=').Append(value);
        }

        return Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(text.ToString())))[..16];
    }
}
