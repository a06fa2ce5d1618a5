using EarReferral.Summary.Drawing;
using EarReferral.Summary.Sheets;
using PdfSharp.Drawing;
using PdfSharp.Pdf;

namespace EarReferral.Summary.Paper;

/// <summary>Lays the blocks of a sheet on A4 pages from top to bottom.</summary>
/// <param name="document">The document that gets the pages.</param>
/// <param name="size">Size of the text in points.</param>
internal sealed class PaperFlow(PdfDocument document, double size) : IDisposable
{
    private const double Margin = 42, Top = 58, Bottom = 48;

    private readonly XFont text = new(PaperFonts.Family, size);
    private readonly XFont strong = new(PaperFonts.Family, size, XFontStyleEx.Bold);
    private readonly XFont small = new(PaperFonts.Family, size > 13 ? size : size * 0.85);
    private readonly XFont heading = new(PaperFonts.Family, size * 1.2, XFontStyleEx.Bold);
    private readonly XFont title = new(PaperFonts.Family, size * 1.5, XFontStyleEx.Bold);

    private XGraphics? paper;
    private double y;

    /// <summary>Whether a character had to be replaced.</summary>
    public bool HasMissingCharacters { get; private set; }

    private XGraphics Paper => paper ??= NextPage();

    private double Width => document.Pages[^1].Width.Point - (2 * Margin);

    private double Foot => document.Pages[^1].Height.Point - Bottom;

    public void Sheet(Sheet sheet)
    {
        foreach (var notice in sheet.Before)
        {
            Block(notice);
        }

        Words(sheet.Title, title, 0);
        y += size * 0.3;
        foreach (var block in sheet.Blocks)
        {
            Block(block);
        }
    }

    /// <summary>Words at the end of the last page.</summary>
    public void Note(string words) => Framed(() => Words(words, strong, 6));

    public void Dispose() => paper?.Dispose();

    private void Block(Block block)
    {
        switch (block)
        {
            case Notice notice:
                Framed(() => Words(notice.Text, strong, 6));
                break;
            case Facts facts:
                foreach (var fact in facts.Items)
                {
                    Words($"{fact.Name}: {fact.Value}", text, 0);
                }

                break;
            case Paragraph paragraph:
                y += size * 0.25;
                Room(paragraph.IsLead ? 3 : 1);
                Words(paragraph.Text, paragraph.IsLead ? strong : text, 0);
                break;
            case Bullets bullets:
                foreach (var item in bullets.Items)
                {
                    Words(item, text, size * 1.2, "•");
                }

                break;
            case Pictures pictures:
                Side(pictures.Items);
                break;
            case Section section:
                Part(section);
                break;
            case SmallPrint print:
                y += size * 0.6;
                foreach (var paragraph in print.Paragraphs)
                {
                    Words(paragraph, small, 0);
                }

                break;
            default:
                throw new ArgumentOutOfRangeException(nameof(block), block, "Not a part of a sheet.");
        }
    }

    private void Part(Section section)
    {
        y += size * 0.8;
        var holdsPictures = section.Blocks.Any(block => block is Pictures);
        Room(holdsPictures ? 22 : 4);
        Words(section.Title, heading, 0);
        Paper.DrawLine(new XPen(XColors.Black, section.IsFirst ? 1.5 : 0.6), Margin, y + 1, Margin + Width, y + 1);
        y += size * 0.4;
        foreach (var block in section.Blocks)
        {
            Block(block);
        }

        if (section.IsFirst)
        {
            Paper.DrawLine(new XPen(XColors.Black, 1.5), Margin, y + 2, Margin + Width, y + 2);
            y += size * 0.4;
        }
    }

    // Two stand side by side where they are not too small for that; each keeps its words below it.
    private void Side(IReadOnlyList<Picture> pictures)
    {
        const double Gap = 14;
        var across = size > 13 ? 1 : 2;
        foreach (var row in pictures.Chunk(across))
        {
            var width = (Width - (Gap * (across - 1))) / across;
            var scale = row.Min(picture => Math.Min(width / picture.Width, 1.1));
            var height = row.Max(picture => picture.Height * scale);
            var lines = row.Select(picture => Captions(picture, width)).ToList();
            var needed = height + (lines.Max(list => list.Count) * Line(small)) + size;
            if (y + needed > Foot && y > Top)
            {
                NewPage();
            }

            var begin = y + (size * 0.4);
            for (var place = 0; place < row.Length; place++)
            {
                var left = Margin + (place * (width + Gap));
                var painter = new PicturePainter(Paper, left, begin, scale);
                foreach (var shape in row[place].Shapes)
                {
                    painter.Draw(shape);
                }

                var at = begin + height;
                foreach (var (words, isTitle) in lines[place])
                {
                    Paper.DrawString(words, isTitle ? new XFont(PaperFonts.Family, size * 0.85, XFontStyleEx.Bold) : small, XBrushes.Black, left, at + (Line(small) * 0.8));
                    at += Line(small);
                }
            }

            y = begin + needed;
        }
    }

    private List<(string Words, bool IsTitle)> Captions(Picture picture, double width) =>
    [
        .. PaperText.Lines(Paper, Fit(picture.Title), strong, width).Select(line => (line, true)),
        .. picture.Legend.SelectMany(line => PaperText.Lines(Paper, Fit(line.ToString()), small, width)).Select(line => (line, false)),
    ];

    private void Framed(Action content)
    {
        Room(3);
        var (page, begin) = (document.PageCount, y);
        y += 4;
        content();
        y += 4;
        if (page == document.PageCount)
        {
            Paper.DrawRectangle(new XPen(XColors.Black, 1.2), Margin, begin, Width, y - begin);
        }

        y += size * 0.4;
    }

    private void Words(string words, XFont font, double indent, string? bullet = null)
    {
        var first = true;
        foreach (var line in PaperText.Lines(Paper, Fit(words), font, Width - indent - (bullet is null ? indent : 0)))
        {
            Room(1);
            if (first && bullet is not null)
            {
                Paper.DrawString(bullet, font, XBrushes.Black, Margin + 2, y + (Line(font) * 0.8));
            }

            Paper.DrawString(line, font, XBrushes.Black, Margin + indent, y + (Line(font) * 0.8));
            y += Line(font);
            first = false;
        }
    }

    private string Fit(string words)
    {
        var (fitted, whole) = PaperFonts.Coverage.Fit(words);
        HasMissingCharacters |= !whole;
        return fitted;
    }

    private static double Line(XFont font) => font.Size * 1.32;

    private void Room(int lines)
    {
        _ = Paper;
        if (y + (lines * Line(text)) > Foot)
        {
            NewPage();
        }
    }

    private void NewPage()
    {
        paper?.Dispose();
        paper = NextPage();
    }

    private XGraphics NextPage()
    {
        var page = document.AddPage();
        page.Size = PdfSharp.PageSize.A4;
        y = Top;
        return XGraphics.FromPdfPage(page);
    }
}
