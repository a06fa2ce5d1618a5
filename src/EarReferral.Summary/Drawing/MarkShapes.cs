using System.Globalization;
using EarReferral.Summary.Findings;

namespace EarReferral.Summary.Drawing;

/// <summary>What a mark looks like: a shape for each kind of finding, and its number.</summary>
internal static class MarkShapes
{
    private const double Half = 8.5;

    /// <summary>A mark with its number.</summary>
    public static IEnumerable<Shape> Of(FindingKind kind, int number, Point at) =>
    [
        kind switch
        {
            FindingKind.Deposit => Around(at, Ink.Mark, (-Half, -Half), (Half, -Half), (Half, Half), (-Half, Half)),
            FindingKind.Residual => Around(at, Ink.OpenMark, (-Half, -Half), (Half, -Half), (Half, Half), (-Half, Half)),
            FindingKind.Perforation => new Ellipse(at, Half, Half, Ink.OpenMark),
            FindingKind.CanalFinding => Around(at, Ink.OpenMark, (0, -Half * 1.35), (Half * 1.25, Half), (-Half * 1.25, Half)),
            FindingKind.DrumFinding => Around(at, Ink.OpenMark, (0, -Half * 1.3), (Half * 1.3, 0), (0, Half * 1.3), (-Half * 1.3, 0)),
        },
        new Label(number.ToString(CultureInfo.InvariantCulture), kind is FindingKind.CanalFinding ? at with { Y = at.Y + 2 } : at, 10, Ink.Number),
    ];

    private static Polyline Around(Point at, Ink ink, params (double X, double Y)[] corners) =>
        new([.. corners.Select(corner => new Point(at.X + corner.X, at.Y + corner.Y))], IsClosed: true, ink);
}
