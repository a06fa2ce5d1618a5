using PdfSharp.Drawing;

namespace EarReferral.Summary.Paper;

/// <summary>Breaks words into lines.</summary>
internal static class PaperText
{
    /// <summary>Lines no wider than the width; a word that is wider by itself is broken where it must be.</summary>
    public static IReadOnlyList<string> Lines(XGraphics paper, string text, XFont font, double width)
    {
        var lines = new List<string>();
        var line = string.Empty;
        foreach (var word in text.Split(' ', StringSplitOptions.RemoveEmptyEntries))
        {
            if (Width(line.Length == 0 ? word : $"{line} {word}") <= width)
            {
                line = line.Length == 0 ? word : $"{line} {word}";
                continue;
            }

            if (line.Length > 0)
            {
                lines.Add(line);
            }

            line = word;
            while (Width(line) > width)
            {
                var fits = Fitting(line);
                lines.Add(line[..fits]);
                line = line[fits..];
            }
        }

        return [.. lines, line];

        double Width(string words) => paper.MeasureString(words, font).Width;

        // The widest beginning that fits, found by halving: a word of ten thousand letters is not measured ten thousand times.
        int Fitting(string word)
        {
            var (low, high) = (1, Math.Min(word.Length, 400));
            while (low < high)
            {
                var middle = (low + high + 1) / 2;
                (low, high) = Width(word[..middle]) <= width ? (middle, high) : (low, middle - 1);
            }

            return low;
        }
    }

    /// <summary>As much of a text as fits on one line, with an ellipsis where it was cut.</summary>
    public static string Cut(XGraphics paper, string text, XFont font, double width)
    {
        const int Longest = 200;
        var cut = text.Length > Longest ? $"{text[..Longest]}…" : text;
        while (cut.Length > 1 && paper.MeasureString(cut, font).Width > width)
        {
            cut = $"{cut[..^2]}…";
        }

        return cut;
    }
}
