using System.Globalization;
using EarReferral.Summary.Sheets;
using PdfSharp.Drawing;
using PdfSharp.Fonts;
using PdfSharp.Pdf;

namespace EarReferral.Summary.Paper;

/// <summary>A sheet as a PDF on A4 pages. The same sheet and arguments give the same bytes.</summary>
/// <remarks>
/// The page in HTML stays authoritative: a character that the shipped font cannot set is printed as a box, and the paper says so.
/// </remarks>
public static class PdfPaper
{
    private const double UsualSize = 9.5, LargeSize = 18, SmallestSize = 8;

    private static readonly Lock Fonts = new();

    /// <summary>Renders a sheet.</summary>
    /// <param name="sheet">What to render.</param>
    /// <param name="id">Identity of what it shows; it becomes the identity of the file.</param>
    /// <param name="at">When what it shows was written; it becomes the date of the file.</param>
    /// <param name="print">How large the words are.</param>
    /// <param name="preferOnePage">Whether the words may shrink to 8 points when everything then fits on one page. Nothing is ever left out for that.</param>
    public static byte[] Render(Sheet sheet, Guid id, DateTimeOffset at, Print print = Print.Usual, bool preferOnePage = false)
    {
        ArgumentNullException.ThrowIfNull(sheet);
        UseOwnFonts();
        var size = print is Print.Large ? LargeSize : UsualSize;
        var document = Lay(sheet, size);
        for (var smaller = size - 0.5; preferOnePage && print is Print.Usual && document.PageCount > 1 && smaller >= SmallestSize; smaller -= 0.5)
        {
            var tried = Lay(sheet, smaller);
            if (tried.PageCount == 1)
            {
                document = tried;
            }
        }

        document.Info.Title = PaperFonts.Coverage.Fit(sheet.Title).Text;
        document.Info.CreationDate = at.UtcDateTime;
        document.Info.ModificationDate = at.UtcDateTime;
        document.Language = sheet.Language;
        document.Internals.FirstDocumentID = id.ToString("N")[..16];
        document.Internals.SecondDocumentID = id.ToString("N")[16..];
        using var bytes = new MemoryStream();
        document.Save(bytes, closeStream: false);
        return FixedNames.Of(bytes.ToArray(), id);
    }

    private static PdfDocument Lay(Sheet sheet, double size)
    {
        var document = new PdfDocument();
        using (var flow = new PaperFlow(document, size))
        {
            flow.Sheet(sheet);
            if (flow.HasMissingCharacters || !PaperFonts.Coverage.Fit(sheet.Running).IsWhole)
            {
                flow.Note($"Some characters cannot be printed here and stand as {FontCoverage.Missing}. The summary on the screen shows them and is what counts.");
            }
        }

        Number(document, PaperFonts.Coverage.Fit(sheet.Running).Text);
        return document;
    }

    // Only now is it known how many pages there are.
    private static void Number(PdfDocument document, string running)
    {
        var font = new XFont(PaperFonts.Family, 8);
        for (var index = 0; index < document.PageCount; index++)
        {
            using var paper = XGraphics.FromPdfPage(document.Pages[index]);
            var width = document.Pages[index].Width.Point - 84;
            paper.DrawString(PaperText.Cut(paper, running, font, width), font, XBrushes.Black, 42, 36);
            paper.DrawString(string.Create(CultureInfo.InvariantCulture, $"Page {index + 1} of {document.PageCount}"), font, XBrushes.Black, 42, document.Pages[index].Height.Point - 26);
        }
    }

    // PDFsharp keeps one resolver for the process and refuses another once a font was made.
    private static void UseOwnFonts()
    {
        lock (Fonts)
        {
            GlobalFontSettings.FontResolver ??= new PaperFonts();
        }
    }
}
