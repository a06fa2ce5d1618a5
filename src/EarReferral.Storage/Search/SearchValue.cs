using System.Text;

namespace EarReferral.Storage.Search;

/// <summary>Splitting and unescaping of search values: a backslash escapes comma, dollar, bar and itself (FHIR R4 search).</summary>
internal static class SearchValue
{
    /// <summary>The parts between unescaped separators, still escaped.</summary>
    public static IReadOnlyList<string> Split(string value, char separator)
    {
        var parts = new List<string>();
        var start = 0;
        for (var at = 0; at < value.Length; at++)
        {
            if (value[at] == '\\')
            {
                at++;
            }
            else if (value[at] == separator)
            {
                parts.Add(value[start..at]);
                start = at + 1;
            }
        }

        parts.Add(value[start..]);
        return parts;
    }

    /// <summary>The value that was meant, or null when a backslash escapes nothing that needs it.</summary>
    public static string? Unescape(string value)
    {
        var text = new StringBuilder(value.Length);
        for (var at = 0; at < value.Length; at++)
        {
            if (value[at] == '\\' && (++at == value.Length || value[at] is not (',' or '$' or '|' or '\\')))
            {
                return null;
            }

            text.Append(value[at]);
        }

        return text.ToString();
    }
}
