using EarReferral.Summary.Drawing;
using PdfSharp.Drawing;

namespace EarReferral.Summary.Paper;

/// <summary>Draws the primitives of a picture on paper; the other renderer of the same list is <see cref="Svg"/>.</summary>
internal sealed class PicturePainter(XGraphics paper, double left, double top, double scale)
{
    private static readonly XColor Black = XColor.FromArgb(0x1B, 0x1F, 0x24), Grey = XColor.FromArgb(0x6B, 0x74, 0x7D), Fill = XColor.FromArgb(0xE8, 0xDC, 0xC4),
        Red = XColor.FromArgb(0xC0, 0x18, 0x18), Blue = XColor.FromArgb(0x18, 0x46, 0xC0);

    public void Draw(Shape shape)
    {
        switch (shape)
        {
            case Label label:
                var font = new XFont(PaperFonts.Family, label.Size * scale, label.Ink is Ink.Number ? XFontStyleEx.Bold : XFontStyleEx.Regular);
                paper.DrawString(label.Text, font, new XSolidBrush(label.Ink is Ink.Number ? Black : Grey), At(label.At), new XStringFormat { Alignment = XStringAlignment.Center, LineAlignment = XLineAlignment.Center });
                break;
            case { Ink: Ink.Unseen }:
                Hatch(Outline(shape));
                break;
            case Polyline { IsClosed: false } line:
                paper.DrawLines(Pen(line.Ink), [.. line.Points.Select(At)]);
                break;
            case Polyline or Ellipse when Brush(shape.Ink) is { } brush:
                paper.DrawPath(Pen(shape.Ink), brush, Outline(shape));
                break;
            case Polyline or Ellipse:
                paper.DrawPath(Pen(shape.Ink), Outline(shape));
                break;
            default:
                throw new ArgumentOutOfRangeException(nameof(shape), shape, "Not a primitive of a picture.");
        }
    }

    private XGraphicsPath Outline(Shape shape)
    {
        var path = new XGraphicsPath();
        switch (shape)
        {
            case Ellipse ellipse:
                var corner = At(new Point(ellipse.Centre.X - ellipse.RadiusX, ellipse.Centre.Y - ellipse.RadiusY));
                path.AddEllipse(corner.X, corner.Y, 2 * ellipse.RadiusX * scale, 2 * ellipse.RadiusY * scale);
                break;
            case Polyline line:
                path.AddPolygon([.. line.Points.Select(At)]);
                break;
        }

        return path;
    }

    private void Hatch(XGraphicsPath outline)
    {
        const double Apart = 6;
        var state = paper.Save();
        paper.IntersectClip(outline);
        var pen = new XPen(Grey, 0.8 * scale);
        for (var x = -Anatomy.Height; x < Anatomy.Width; x += Apart * Math.Sqrt(2))
        {
            paper.DrawLine(pen, At(new Point(x, Anatomy.Height)), At(new Point(x + Anatomy.Height, 0)));
        }

        paper.Restore(state);
        paper.DrawPath(new XPen(Grey, scale), outline);
    }

    private XPen Pen(Ink ink) => ink switch
    {
        Ink.Outline => new XPen(Black, 2 * scale),
        Ink.Detail => new XPen(Grey, 0.7 * scale) { DashStyle = XDashStyle.Dot },
        Ink.RightEar => new XPen(Red, 2 * scale),
        Ink.LeftEar => new XPen(Blue, 2 * scale),
        _ => new XPen(Black, 1.5 * scale),
    };

    private static XSolidBrush? Brush(Ink ink) => ink switch
    {
        Ink.Mark => new XSolidBrush(Fill),
        Ink.OpenMark => XBrushes.White,
        _ => null,
    };

    private XPoint At(Point point) => new(left + (point.X * scale), top + (point.Y * scale));
}
