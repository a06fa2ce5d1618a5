using System.Globalization;
using System.Xml.Linq;

namespace EarReferral.Summary.Drawing;

/// <summary>Renders a drawing as SVG 1.1 with a title and a description, and classes instead of colours so that the page decides how it looks.</summary>
public static class Svg
{
    /// <summary>Namespace of SVG.</summary>
    public static readonly XNamespace Namespace = "http://www.w3.org/2000/svg";

    /// <summary>The drawing as one element.</summary>
    /// <param name="drawing">What to render.</param>
    /// <param name="id">Prefix of the ids inside; must be its own for each drawing of a page and an XML name.</param>
    public static XElement Render(Picture drawing, string id)
    {
        ArgumentNullException.ThrowIfNull(drawing);
        return new XElement(
            Namespace + "svg",
            new XAttribute("viewBox", string.Create(CultureInfo.InvariantCulture, $"0 0 {drawing.Width} {drawing.Height}")),
            new XAttribute("class", "ear"),
            new XAttribute("role", "img"),
            new XAttribute("aria-labelledby", $"{id}-title {id}-desc"),
            new XElement(Namespace + "title", new XAttribute("id", $"{id}-title"), drawing.Title),
            new XElement(Namespace + "desc", new XAttribute("id", $"{id}-desc"), drawing.Description),
            new XElement(
                Namespace + "defs",
                new XElement(
                    Namespace + "pattern",
                    new XAttribute("id", $"{id}-hatch"),
                    new XAttribute("width", 6),
                    new XAttribute("height", 6),
                    new XAttribute("patternUnits", "userSpaceOnUse"),
                    new XAttribute("patternTransform", "rotate(45)"),
                    new XElement(Namespace + "line", new XAttribute("y2", 6), new XAttribute("class", "hatch")))),
            drawing.Shapes.Select(shape => Render(shape, id)));
    }

    private static XElement Render(Shape shape, string id)
    {
        var element = shape switch
        {
            Polyline line => new XElement(
                Namespace + (line.IsClosed ? "polygon" : "polyline"),
                new XAttribute("points", string.Join(' ', line.Points.Select(point => string.Create(CultureInfo.InvariantCulture, $"{point.X:0.##},{point.Y:0.##}"))))),
            Ellipse ellipse => new XElement(
                Namespace + "ellipse",
                Number("cx", ellipse.Centre.X), Number("cy", ellipse.Centre.Y), Number("rx", ellipse.RadiusX), Number("ry", ellipse.RadiusY)),
            Label label => new XElement(
                Namespace + "text",
                Number("x", label.At.X), Number("y", label.At.Y), Number("font-size", label.Size),
                new XAttribute("text-anchor", "middle"), new XAttribute("dominant-baseline", "central"),
                label.Text),
            _ => throw new ArgumentOutOfRangeException(nameof(shape), shape, "Not a primitive of a drawing."),
        };
        element.Add(new XAttribute("class", Class(shape.Ink)));
        if (shape.Ink is Ink.Unseen)
        {
            element.Add(new XAttribute("fill", $"url(#{id}-hatch)"));
        }

        return element;
    }

    private static XAttribute Number(string name, double value) => new(name, value.ToString("0.##", CultureInfo.InvariantCulture));

    private static string Class(Ink ink) => ink switch
    {
        Ink.Outline => "outline",
        Ink.Detail => "detail",
        Ink.Unseen => "unseen",
        Ink.Mark => "mark",
        Ink.OpenMark => "open-mark",
        Ink.Caption => "caption",
        Ink.Number => "number",
        Ink.RightEar => "right-ear",
        Ink.LeftEar => "left-ear",
    };
}
