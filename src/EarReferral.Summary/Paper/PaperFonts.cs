using PdfSharp.Fonts;

namespace EarReferral.Summary.Paper;

/// <summary>The fonts that ship with the product; no font of the machine is ever used, so paper looks the same everywhere.</summary>
internal sealed class PaperFonts : IFontResolver
{
    public const string Family = "DejaVu Sans";

    private const string RegularFace = "DejaVuSans", BoldFace = "DejaVuSans-Bold";

    private static readonly Lazy<byte[]> RegularFont = new(() => Load(RegularFace));
    private static readonly Lazy<byte[]> BoldFont = new(() => Load(BoldFace));
    private static readonly Lazy<FontCoverage> RegularCoverage = new(() => new FontCoverage(RegularFont.Value));

    /// <summary>What can be set. DejaVu Sans Bold covers every character of the ranges that DejaVu Sans covers; a test compares the two.</summary>
    public static FontCoverage Coverage => RegularCoverage.Value;

    public FontResolverInfo ResolveTypeface(string familyName, bool bold, bool italic) => new(bold ? BoldFace : RegularFace);

    public byte[] GetFont(string faceName) => Bytes(faceName == BoldFace);

    /// <summary>A font file.</summary>
    internal static byte[] Bytes(bool bold) => bold ? BoldFont.Value : RegularFont.Value;

    private static byte[] Load(string face)
    {
        using var stream = typeof(PaperFonts).Assembly.GetManifestResourceStream($"{face}.ttf") ?? throw new InvalidOperationException($"The font {face} is not in the build.");
        var bytes = new byte[stream.Length];
        stream.ReadExactly(bytes);
        return bytes;
    }
}
