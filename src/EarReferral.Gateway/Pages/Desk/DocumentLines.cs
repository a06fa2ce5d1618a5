using System.Text;
using System.Text.Json;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>Finds the line of a JSON document that a JSON Pointer (RFC 6901) leads to, so that a problem can stand under its line.</summary>
internal static class DocumentLines
{
    /// <summary>Line of every pointer, from 1; what comes before a fault of the JSON, where it has one.</summary>
    public static IReadOnlyDictionary<string, int> Of(ReadOnlySpan<byte> document)
    {
        var found = new Dictionary<string, int>(StringComparer.Ordinal) { [string.Empty] = 1 };
        var reader = new Utf8JsonReader(document, new JsonReaderOptions { MaxDepth = 64 });
        var path = new Stack<(string Pointer, int Index)>();
        var name = string.Empty;
        var (line, counted) = (1, 0);
        try
        {
            while (reader.Read())
            {
                var start = (int)reader.TokenStartIndex;
                line += document[counted..start].Count((byte)'\n');
                counted = start;
                if (reader.TokenType == JsonTokenType.PropertyName)
                {
                    name = reader.GetString()!.Replace("~", "~0", StringComparison.Ordinal).Replace("/", "~1", StringComparison.Ordinal);
                    found.TryAdd($"{path.Peek().Pointer}/{name}", line);
                }
                else if (reader.TokenType is JsonTokenType.EndObject or JsonTokenType.EndArray)
                {
                    path.Pop();
                }
                else
                {
                    var pointer = Pointer(path, name);
                    found.TryAdd(pointer, line);
                    if (reader.TokenType is JsonTokenType.StartObject or JsonTokenType.StartArray)
                    {
                        path.Push((pointer, reader.TokenType == JsonTokenType.StartArray ? 0 : -1));
                    }
                }
            }
        }
        catch (JsonException fault)
        {
            // The reader of the contract says what is wrong; here only where.
            found[Fault] = (int)(fault.LineNumber ?? 0) + 1;
        }

        return found;
    }

    /// <summary>Key of the line at which the JSON ends to be JSON; no pointer looks like it.</summary>
    public const string Fault = "fault";

    /// <summary>The line of a pointer, or of the nearest part of the document that holds it.</summary>
    public static int Find(IReadOnlyDictionary<string, int> lines, string pointer)
    {
        for (var at = pointer; ; at = at[..at.LastIndexOf('/')])
        {
            if (lines.TryGetValue(at, out var line))
            {
                return at.Length == 0 && lines.TryGetValue(Fault, out var fault) ? fault : line;
            }
        }
    }

    /// <summary>The lines of a text, without their ends.</summary>
    public static string[] Split(ReadOnlySpan<byte> document) => Encoding.UTF8.GetString(document).ReplaceLineEndings("\n").Split('\n');

    private static string Pointer(Stack<(string Pointer, int Index)> path, string name)
    {
        if (!path.TryPop(out var parent))
        {
            return string.Empty;
        }

        path.Push(parent with { Index = parent.Index < 0 ? parent.Index : parent.Index + 1 });
        return parent.Index < 0 ? $"{parent.Pointer}/{name}" : string.Create(System.Globalization.CultureInfo.InvariantCulture, $"{parent.Pointer}/{parent.Index}");
    }
}
