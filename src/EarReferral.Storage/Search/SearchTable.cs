using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata;

namespace EarReferral.Storage.Search;

/// <summary>One table of the search index as the database's own bulk insert needs it: names from the model, values from the rows.</summary>
/// <remarks>
/// A visit brings a thousand index rows that nothing ever changes. Through change tracking they took most of the time of a post
/// (docs/performance.md), so they are written past it, after the resources whose keys they carry and in the same transaction.
/// </remarks>
internal sealed class SearchTable
{
    private readonly IReadOnlyList<IProperty> columns;

    private SearchTable(IEntityType entity)
    {
        columns = [.. entity.GetProperties().Where(property => property.Name != nameof(SearchRow.Key))];
        Name = entity.GetTableName()!;
    }

    /// <summary>Name of the table.</summary>
    public string Name { get; }

    /// <summary>Columns that are written, quoted; the key is the database's.</summary>
    public string Columns => string.Join(", ", columns.Select(column => $"\"{column.GetColumnName()}\""));

    /// <summary>How many columns are written.</summary>
    public int Width => columns.Count;

    /// <summary>The rows by table.</summary>
    public static IEnumerable<(SearchTable Table, IReadOnlyList<SearchRow> Rows)> Of(StoreContext store, IEnumerable<SearchRow> rows) =>
        rows.GroupBy(row => row.GetType()).Select(ofType => (new SearchTable(store.Model.FindEntityType(ofType.Key)!), (IReadOnlyList<SearchRow>)[.. ofType]));

    /// <summary>Values of a row in the order of <see cref="Columns"/>; the key of its resource is known once that is stored.</summary>
    public IEnumerable<object?> Values(SearchRow row) =>
        columns.Select(column => column.Name == nameof(SearchRow.ResourceKey) ? row.Resource!.Key : column.PropertyInfo!.GetValue(row));
}
