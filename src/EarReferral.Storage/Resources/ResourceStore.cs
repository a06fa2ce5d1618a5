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

    internal ResourceStore(StoreDatabase database) => this.database = database;

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

    /// <summary>Matches of a search within reach; the total counts nothing beyond it.</summary>
    /// <param name="reach">Whose data may be seen.</param>
    /// <param name="query">The search.</param>
    /// <param name="cursor">Cursor of the page before; one of another search or another reach is not taken, and the first page comes.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public Task<SearchPage> SearchAsync(Reach reach, SearchQuery query, string? cursor, CancellationToken cancellationToken) =>
        database.ReadAsync(async store =>
        {
            var matches = SearchSql.Matching(store, reach, query);
            var total = await matches.CountAsync(cancellationToken);
            var withheld = await SearchSql.CountWithheldAsync(store, reach, query, cancellationToken);
            if (query.Count == 0)
            {
                return new SearchPage([], total, null, withheld);
            }

            var fingerprint = Fingerprint(reach, query);
            var after = Cursor.Read(cursor) is { } read && read.Query == fingerprint ? read : null;
            var keys = await Ordered(matches, query, after)
                .Take(query.Count + 1)
                .Select(row => new { row.Key, row.Id, row.SortDate, row.LastUpdated })
                .ToListAsync(cancellationToken);
            var wanted = keys.Take(query.Count).Select(row => row.Key).ToList();
            var found = await store.Resources.Where(row => wanted.Contains(row.Key))
                .Join(
                    store.ResourceVersions,
                    row => new { row.Key, row.Version },
                    version => new { Key = version.ResourceKey, version.Version },
                    (row, version) => new
                    {
                        row.Key,
                        Resource = new StoredResource(row.Type, row.Id, version.Version, version.LastUpdated, row.PatientKey, version.Json),
                    })
                .ToDictionaryAsync(row => row.Key, row => row.Resource, cancellationToken);
            var page = Cursor.Page(
                keys,
                query.Count,
                row => found[row.Key],
                row => new Cursor(
                    query.Sort == SearchSort.Date ? row.SortDate : row.LastUpdated.ToUnixTimeMilliseconds(), row.Id, fingerprint));
            return new SearchPage(page.Items, total, page.Next, withheld);
        });

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
