using System.Buffers.Text;
using System.Globalization;
using System.Text;
using EarReferral.Storage.Encounters;

namespace EarReferral.Storage.Schema;

/// <summary>Where the next page begins: after this sort position and id. Says nothing about whose data is listed.</summary>
/// <param name="Position">Sort value of the last item.</param>
/// <param name="Id">Its id, which decides between equal sort values.</param>
/// <param name="Query">Fingerprint of the query that it belongs to; empty for plain lists.</param>
internal sealed record Cursor(long Position, string Id, string Query = "")
{
    public string Write() => Base64Url.EncodeToString(
        Encoding.UTF8.GetBytes(string.Create(CultureInfo.InvariantCulture, $"{Position} {Query} {Id}")));

    /// <summary>The cursor in a text, or null when there is none or it is not one of ours.</summary>
    public static Cursor? Read(string? text)
    {
        if (string.IsNullOrEmpty(text) || !Base64Url.IsValid(text))
        {
            return null;
        }

        var parts = Encoding.UTF8.GetString(Base64Url.DecodeFromChars(text)).Split(' ', 3);
        return parts.Length == 3 && long.TryParse(parts[0], NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var position)
            ? new Cursor(position, parts[2], parts[1])
            : null;
    }

    /// <summary>A page of rows that were read one beyond the count.</summary>
    public static Page<T> Page<TRow, T>(List<TRow> rows, int count, Func<TRow, T> item, Func<TRow, Cursor> position)
    {
        var items = rows.Take(count).ToList();
        var next = rows.Count > count && items.Count > 0 ? position(items[^1]).Write() : null;
        return new Page<T>([.. items.Select(item)], next);
    }
}
