using System.Globalization;
using System.Text.Json;
using System.Text.Unicode;

namespace EarReferral.Encounters.Reading;

/// <summary>Reads a document token by token for what no schema sees: encoding, depth, duplicate names, half surrogates, endless numbers.</summary>
internal static class JsonScan
{
    public const int LargestDocument = 1024 * 1024;
    public const int DeepestLevel = 32;
    private const int LongestNumber = 24;

    /// <summary>Problems of the document; when <paramref name="parsable"/> is false no later check may run.</summary>
    public static List<EncounterProblem> Check(ReadOnlySpan<byte> document, out bool parsable)
    {
        parsable = false;
        if (document.Length > LargestDocument)
        {
            return [FormProblems.TooLarge.At(string.Empty)];
        }

        if (!Utf8.IsValid(document))
        {
            return [FormProblems.NotUtf8.At(string.Empty)];
        }

        var problems = new List<EncounterProblem>();
        try
        {
            parsable = ReadAll(document, problems);
        }
        catch (JsonException exception)
        {
            // The reader of the platform tells malformed JSON only by exception; the message may hold posted characters and is not passed on.
            var place = string.Create(CultureInfo.InvariantCulture, $"Reading stopped in line {exception.LineNumber + 1}, byte {exception.BytePositionInLine + 1}.");
            problems.Add(FormProblems.Malformed.At(string.Empty, place));
        }

        return problems;
    }

    private static bool ReadAll(ReadOnlySpan<byte> document, List<EncounterProblem> problems)
    {
        // The own depth check below is stricter and comes first; the parser's limit only must not be reached before it.
        var reader = new Utf8JsonReader(document, new JsonReaderOptions { MaxDepth = DeepestLevel + 8 });
        var levels = new Stack<Level>();
        var sound = true;
        while (reader.Read())
        {
            switch (reader.TokenType)
            {
                case JsonTokenType.StartObject or JsonTokenType.StartArray:
                    if (levels.Count == DeepestLevel)
                    {
                        problems.Add(FormProblems.TooDeep.At(string.Empty));
                        return false;
                    }

                    levels.Push(new Level(NextPointer(levels), reader.TokenType == JsonTokenType.StartObject ? new HashSet<string>(StringComparer.Ordinal) : null));
                    break;
                case JsonTokenType.EndObject or JsonTokenType.EndArray:
                    levels.Pop();
                    break;
                case JsonTokenType.PropertyName:
                    var level = levels.Peek();
                    if (HasLoneSurrogate(reader))
                    {
                        problems.Add(FormProblems.LoneSurrogate.At(level.Pointer));
                        return false;
                    }

                    level.Name = reader.GetString()!;
                    if (!level.Names!.Add(level.Name))
                    {
                        problems.Add(FormProblems.DuplicateMember.At(JsonPointer.Member(level.Pointer, level.Name)));
                    }

                    break;
                case JsonTokenType.String:
                    if (HasLoneSurrogate(reader))
                    {
                        problems.Add(FormProblems.LoneSurrogate.At(NextPointer(levels)));
                        sound = false;
                    }
                    else
                    {
                        Skip(levels);
                    }

                    break;
                case JsonTokenType.Number:
                    if (reader.ValueSpan.Length > LongestNumber || !reader.TryGetDecimal(out _))
                    {
                        problems.Add(FormProblems.NumberTooLong.At(NextPointer(levels)));
                        sound = false;
                    }
                    else
                    {
                        Skip(levels);
                    }

                    break;
                case JsonTokenType.True or JsonTokenType.False or JsonTokenType.Null:
                    Skip(levels);
                    break;
            }
        }

        return sound;
    }

    // Pointer of the value that begins now; counts it when it is an item of a list.
    private static string NextPointer(Stack<Level> levels)
    {
        if (!levels.TryPeek(out var level))
        {
            return string.Empty;
        }

        return level.Names is null
            ? string.Create(CultureInfo.InvariantCulture, $"{level.Pointer}/{level.Items++}")
            : JsonPointer.Member(level.Pointer, level.Name);
    }

    private static void Skip(Stack<Level> levels)
    {
        if (levels.TryPeek(out var level))
        {
            level.Items++;
        }
    }

    private static bool HasLoneSurrogate(in Utf8JsonReader reader)
    {
        if (!reader.ValueIsEscaped)
        {
            return false;
        }

        var text = reader.ValueSpan;
        var highOpen = false;
        for (var i = 0; i < text.Length; i++)
        {
            var unit = '\0';
            if (text[i] == '\\')
            {
                i++;
                if (text[i] == 'u')
                {
                    unit = (char)ushort.Parse(text.Slice(i + 1, 4), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture);
                    i += 4;
                }
            }

            if (char.IsLowSurrogate(unit) != highOpen)
            {
                return true;
            }

            highOpen = char.IsHighSurrogate(unit);
        }

        return highOpen;
    }

    /// <summary>An object or list that is open while reading.</summary>
    private sealed class Level(string pointer, HashSet<string>? names)
    {
        public string Pointer { get; } = pointer;

        public HashSet<string>? Names { get; } = names;

        public string Name { get; set; } = string.Empty;

        public int Items { get; set; }
    }
}
