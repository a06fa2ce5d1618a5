using System.Buffers.Binary;
using System.Text;

namespace EarReferral.Summary.Paper;

/// <summary>Which characters the font of the paper can show rightly one by one, read from the font's own character map.</summary>
/// <remarks>
/// PDFsharp sets one glyph for one character, from left to right. Scripts whose letters join, stack or run from right to left therefore count as
/// not covered, though the font may have glyphs for them: a name set wrongly is worse than a name that says that it could not be set.
/// The layout of the tables is that of the OpenType specification, "cmap", format 4.
/// </remarks>
internal sealed class FontCoverage
{
    /// <summary>Stands for every character that cannot be set.</summary>
    public const char Missing = '\u25A1';

    // Latin with its additions, Greek, Cyrillic, punctuation, money, letter-like signs, arrows, mathematics, boxes and shapes. The joining and direction marks among the punctuation are left out.
    private static readonly (int First, int Last)[] SetOneByOne =
    [
        (0x20, 0x7E), (0xA0, 0xAC), (0xAE, 0x2FF), (0x370, 0x482), (0x48A, 0x52F), (0x1E00, 0x1FFF), (0x2010, 0x2027), (0x202F, 0x205E), (0x20A0, 0x20BF),
        (0x2100, 0x214F), (0x2190, 0x22FF), (0x2500, 0x25FF),
    ];

    private readonly HashSet<int> glyphs;

    public FontCoverage(byte[] font) => glyphs = [.. Mapped(font).Where(code => Array.Exists(SetOneByOne, range => code >= range.First && code <= range.Last))];

    /// <summary>The text as it can be set, and whether every character of it could.</summary>
    public (string Text, bool IsWhole) Fit(string text)
    {
        var fitted = new StringBuilder(text.Length);
        var whole = true;
        foreach (var rune in text.EnumerateRunes())
        {
            var isSpace = rune.Value is '\n' or '\r' or '\t';
            var covered = isSpace || glyphs.Contains(rune.Value);
            whole &= covered;
            fitted.Append(isSpace ? ' ' : covered ? (char)rune.Value : Missing);
        }

        return (fitted.ToString(), whole);
    }

    private static IEnumerable<int> Mapped(byte[] font)
    {
        var cmap = Table(font, "cmap");
        var subtable = Enumerable.Range(0, Word(font, cmap + 2))
            .Select(index => cmap + 4 + (8 * index))
            .Where(record => Word(font, record) == 3 && Word(font, record + 2) == 1)
            .Select(record => cmap + (int)BinaryPrimitives.ReadUInt32BigEndian(font.AsSpan(record + 4)))
            .First(offset => Word(font, offset) == 4);
        var doubled = Word(font, subtable + 6);
        for (var segment = 0; segment < doubled; segment += 2)
        {
            var last = Word(font, subtable + 14 + segment);
            var first = Word(font, subtable + 16 + doubled + segment);
            var delta = Word(font, subtable + 16 + (2 * doubled) + segment);
            var rangeAt = subtable + 16 + (3 * doubled) + segment;
            var range = Word(font, rangeAt);
            for (var code = first; code <= last && code < 0xFFFF; code++)
            {
                var glyph = range == 0 ? (code + delta) & 0xFFFF : Word(font, rangeAt + range + (2 * (code - first)));
                if (glyph != 0)
                {
                    yield return code;
                }
            }
        }
    }

    private static int Table(byte[] font, string tag)
    {
        for (var record = 12; record < 12 + (16 * Word(font, 4)); record += 16)
        {
            if (Encoding.ASCII.GetString(font, record, 4) == tag)
            {
                return (int)BinaryPrimitives.ReadUInt32BigEndian(font.AsSpan(record + 8));
            }
        }

        throw new InvalidDataException($"The font has no table {tag}.");
    }

    private static int Word(byte[] font, int at) => BinaryPrimitives.ReadUInt16BigEndian(font.AsSpan(at));
}
