using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Search;

/// <summary>Follows <c>_include</c> and <c>_revinclude</c> from the matches of a page; each resource it reaches is judged by the reach anew.</summary>
internal static class IncludeReader
{
    /// <summary>Most resources that one page brings along.</summary>
    public const int Greatest = 5000;

    private const int Rounds = 5;
    private const int Chunk = 200;

    /// <summary>Keys of what comes along, none of them among the matches, and whether there would have been more.</summary>
    public static async Task<(IReadOnlyList<long> Keys, bool IsCutShort)> ReadAsync(
        StoreContext store, Reach reach, IReadOnlyList<SearchInclude> includes, IReadOnlyList<(long Key, string Type, string Id)> matches, CancellationToken cancellationToken)
    {
        var seen = matches.Select(match => match.Key).ToHashSet();
        var included = new List<long>();
        var from = matches;
        for (var round = 0; round < Rounds && from.Count > 0; round++)
        {
            var found = new List<(long Key, string Type, string Id)>();
            foreach (var include in includes.Where(include => round == 0 || include.Iterate))
            {
                foreach (var sources in Sources(include, from).Chunk(Chunk))
                {
                    var rows = await Reached(store, reach, include, sources).Select(row => new { row.Key, row.Type, row.Id }).Distinct().Take(Greatest + 1).ToListAsync(cancellationToken);
                    found.AddRange(rows.Where(row => seen.Add(row.Key)).Select(row => (row.Key, row.Type, row.Id)));
                    if (included.Count + found.Count > Greatest)
                    {
                        return ([.. included.Concat(found.Select(row => row.Key)).Take(Greatest)], true);
                    }
                }
            }

            included.AddRange(found.Select(row => row.Key));
            from = found;
        }

        return (included, false);
    }

    private static IEnumerable<(long Key, string Type, string Id)> Sources(SearchInclude include, IReadOnlyList<(long Key, string Type, string Id)> from) => include switch
    {
        { Reverse: false } => from.Where(row => row.Type == include.Parameter.Resource),
        { Target: { } target } => from.Where(row => row.Type == target),
        _ => from.Where(row => include.Parameter.Targets.Contains(row.Type)),
    };

    private static IQueryable<ResourceRow> Reached(StoreContext store, Reach reach, SearchInclude include, (long Key, string Type, string Id)[] sources)
    {
        var (name, resource, target) = (include.Parameter.Name, include.Parameter.Resource, include.Target);
        if (include.Reverse)
        {
            // Ids are UUIDs, or in old records unique per type; the type is compared once more so that no other type's id is followed.
            var ids = sources.Select(row => row.Id).ToList();
            var types = sources.Select(row => row.Type).Distinct().ToList();
            var keys = store.SearchReferences
                .Where(row => row.Parameter == name && types.Contains(row.TargetType) && ids.Contains(row.TargetId))
                .Select(row => row.ResourceKey);
            return store.Resources.Where(row => row.Type == resource && keys.Contains(row.Key)).Within(reach, store);
        }

        var from = sources.Select(row => row.Key).ToList();
        return store.SearchReferences
            .Where(row => row.Parameter == name && from.Contains(row.ResourceKey) && row.TargetType != "" && (target == null || row.TargetType == target))
            .Join(
                store.Resources.Within(reach, store),
                reference => new { Type = reference.TargetType, Id = reference.TargetId },
                row => new { row.Type, row.Id },
                (reference, row) => row);
    }
}
