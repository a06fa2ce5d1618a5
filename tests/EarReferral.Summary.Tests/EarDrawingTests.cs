using System.Xml.Linq;
using EarReferral.Summary.Drawing;
using EarReferral.Summary.Findings;

namespace EarReferral.Summary.Tests;

public sealed class EarDrawingTests
{
    private static readonly EarPlace UpperFront = new("on-drum", null, "antero-superior", "on drum, upper front");

    [Fact]
    public void LeftEar_IsTheMirrorImageOfTheSameRightEarWithItsWordsUnmirrored()
    {
        var right = EarDrawing.Of(View(EarSide.Right, DrumView.Fully, new EarFinding(FindingKind.Perforation, "perforation", UpperFront)));
        var left = EarDrawing.Of(View(EarSide.Left, DrumView.Fully, new EarFinding(FindingKind.Perforation, "perforation", UpperFront)));

        Assert.Equal(right.Legend, left.Legend);
        Assert.Equal(right.Shapes.Count, left.Shapes.Count);
        Assert.All(right.Shapes.Zip(left.Shapes), pair => Assert.Equal(Key(pair.First, mirror: right.Width), Key(pair.Second, mirror: null)));
    }

    /// <summary>
    /// The light reflex of a right drum lies at five o'clock, of a left drum at seven o'clock, and the front quadrants with it:
    /// the common description of otoscopy in textbooks, from memory.
    /// </summary>
    [Theory]
    [InlineData(EarSide.Right, 1)]
    [InlineData(EarSide.Left, -1)]
    public void FrontOfTheDrum_IsOnTheExaminersRightOnlyForARightEar(EarSide side, int direction)
    {
        var drawing = EarDrawing.Of(View(side, DrumView.Fully, new EarFinding(FindingKind.Perforation, "perforation", UpperFront)) with { LightReflex = true });
        var drum = drawing.Shapes.OfType<Ellipse>().First(ellipse => ellipse.Ink is Ink.Outline);
        var hole = drawing.Shapes.OfType<Ellipse>().Last(ellipse => ellipse.Ink is Ink.OpenMark);
        var reflex = drawing.Shapes.OfType<Polyline>().Single(line => line is { IsClosed: true, Ink: Ink.Detail });

        Assert.Equal(direction, Math.Sign(hole.Centre.X - drum.Centre.X));
        Assert.True(hole.Centre.Y < drum.Centre.Y);
        Assert.Equal(direction, Math.Sign(reflex.Points.Average(point => point.X) - drum.Centre.X));
        Assert.True(reflex.Points.Average(point => point.Y) > drum.Centre.Y);
    }

    [Theory]
    [InlineData(DrumView.NotSeen, "drum not seen")]
    [InlineData(DrumView.NotRecorded, "not recorded whether the drum was seen")]
    [InlineData(DrumView.Partly, "drum seen only in part; which part is not recorded")]
    public void DrumThatWasNotFullySeen_IsHatchedAndSaidSoAndShowsNoReflex(DrumView seen, string words)
    {
        var drawing = EarDrawing.Of(View(EarSide.Right, seen) with { LightReflex = true });

        Assert.Contains(drawing.Shapes, shape => shape.Ink is Ink.Unseen);
        Assert.Contains(drawing.Legend, line => line.Text == words);
        Assert.DoesNotContain(drawing.Shapes.OfType<Polyline>(), line => line is { IsClosed: true, Ink: Ink.Detail });
    }

    [Fact]
    public void EarThatWasNotExamined_IsHatchedAllOverAndNeverDrawnAsNormal()
    {
        var drawing = EarDrawing.Of(new EarView(EarSide.Left, ExaminationMoment.After, WasExamined: false, DrumView.NotRecorded, null, []));

        Assert.Equal("not examined", Assert.Single(drawing.Legend).Text);
        Assert.Equal(2, drawing.Shapes.Count(shape => shape.Ink is Ink.Unseen));
    }

    [Fact]
    public void FindingWithoutAPlace_IsListedAndNotMarked()
    {
        var drawing = EarDrawing.Of(View(EarSide.Right, DrumView.Fully, new EarFinding(FindingKind.DrumFinding, "retraction", null)));

        Assert.Equal(new LegendLine(null, "retraction, place not recorded"), Assert.Single(drawing.Legend));
        Assert.DoesNotContain(drawing.Shapes, shape => shape.Ink is Ink.Mark or Ink.OpenMark);
    }

    [Fact]
    public void MarksOfOnePlace_StandBesideEachOther()
    {
        var place = new EarPlace("canal-outer-third", "inferior", null, "outer third, lower wall");
        var drawing = EarDrawing.Of(View(EarSide.Right, DrumView.Fully, [.. Enumerable.Range(0, 4).Select(_ => new EarFinding(FindingKind.Deposit, "wax", place))]));
        var marks = drawing.Shapes.OfType<Label>().Where(label => label.Ink is Ink.Number).ToList();

        Assert.Equal(4, marks.Count);
        Assert.All(marks, mark => Assert.DoesNotContain(marks, other => other != mark && Math.Abs(other.At.X - mark.At.X) < 17 && Math.Abs(other.At.Y - mark.At.Y) < 17));
    }

    [Fact]
    public void EveryKindOfFinding_HasAShapeOfItsOwn()
    {
        var shapes = Enum.GetValues<FindingKind>()
            .Select(kind => EarDrawing.Of(View(EarSide.Right, DrumView.Fully, new EarFinding(kind, "x", UpperFront))).Shapes.Last(shape => shape.Ink is Ink.Mark or Ink.OpenMark))
            .Select(shape => (shape.GetType(), (shape as Polyline)?.Points.Count, shape.Ink, (shape as Polyline)?.Points[0].X));

        Assert.Distinct(shapes);
    }

    [Fact]
    public void Svg_IsWellFormedNamedAndEscapesWhatTheClinicWrote()
    {
        var svg = Svg.Render(EarDrawing.Of(View(EarSide.Right, DrumView.Fully, new EarFinding(FindingKind.Deposit, "<script>&\"'", UpperFront))), "r");
        var again = XElement.Parse(svg.ToString());

        Assert.Equal("img", again.Attribute("role")!.Value);
        Assert.Equal("r-title r-desc", again.Attribute("aria-labelledby")!.Value);
        Assert.Contains("<script>", again.Element(Svg.Namespace + "desc")!.Value, StringComparison.Ordinal);
        Assert.DoesNotContain(again.Descendants(), element => element.Name.LocalName is "script" or "image" or "use" or "foreignObject");
    }

    private static EarView View(EarSide side, DrumView drum, params EarFinding[] findings) => new(side, ExaminationMoment.Before, WasExamined: true, drum, null, findings);

    private static string Key(Shape shape, double? mirror)
    {
        double X(Point point) => Math.Round(mirror is { } width ? width - point.X : point.X, 6);
        return shape switch
        {
            Polyline line => $"{line.Ink} {line.IsClosed} {string.Join(' ', line.Points.Select(point => (X(point), point.Y)))}",
            Ellipse ellipse => $"{ellipse.Ink} {X(ellipse.Centre)} {ellipse.Centre.Y} {ellipse.RadiusX} {ellipse.RadiusY}",
            Label label => $"{label.Ink} {label.Text} {X(label.At)} {label.At.Y}",
            _ => throw new ArgumentOutOfRangeException(nameof(shape)),
        };
    }
}
