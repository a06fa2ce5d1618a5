using EarReferral.Summary.Drawing;
using EarReferral.Summary.Findings;

namespace EarReferral.Summary.Tests;

/// <summary>Symbols and axes as in the recommended procedure of the British Society of Audiology and ISO 8253-1; from memory.</summary>
public sealed class AudiogramTests
{
    private static Audiogram Of(EarSide side, params PlottedThreshold[] thresholds) => new(side, "2026-03-31", thresholds, []);

    private static PlottedThreshold Air(int hertz, decimal? level, bool noResponse = false) => new(hertz, level, false, false, noResponse);

    [Fact]
    public void RightEar_HasCirclesAndTheLeftCrosses()
    {
        var right = AudiogramDrawing.Of(Of(EarSide.Right, Air(500, 20), Air(1000, 40)));
        var left = AudiogramDrawing.Of(Of(EarSide.Left, Air(500, 20), Air(1000, 40)));

        Assert.Equal(2, right.Shapes.OfType<Ellipse>().Count(shape => shape.Ink is Ink.RightEar));
        Assert.DoesNotContain(left.Shapes, shape => shape is Ellipse || shape.Ink is Ink.RightEar);
        // Two strokes for each cross, and the line that joins them.
        Assert.Equal(5, left.Shapes.Count(shape => shape.Ink is Ink.LeftEar));
    }

    [Fact]
    public void HearingLevel_GoesDownAndEachOctaveIsAsWideAsTwentyDecibelsAreHigh()
    {
        var circles = AudiogramDrawing.Of(Of(EarSide.Right, Air(500, 20), Air(1000, 40), Air(2000, 60))).Shapes.OfType<Ellipse>().Select(shape => shape.Centre).ToList();

        Assert.True(circles[0].Y < circles[1].Y);
        Assert.Equal(circles[1].X - circles[0].X, circles[2].X - circles[1].X, 6);
        Assert.Equal(circles[1].X - circles[0].X, circles[1].Y - circles[0].Y, 6);
    }

    /// <summary>No response is an arrow and a word, never a level, and no line runs across it.</summary>
    [Fact]
    public void NoResponse_IsNeverALevel()
    {
        var picture = AudiogramDrawing.Of(Of(EarSide.Right, Air(1000, 90), Air(2000, null, noResponse: true), Air(4000, 100)));

        Assert.Equal(2, picture.Shapes.OfType<Ellipse>().Count());
        Assert.DoesNotContain(picture.Shapes.OfType<Polyline>(), line => line.Ink is Ink.RightEar && Math.Abs(line.Points[0].X - line.Points[^1].X) > 40);
        Assert.Contains(picture.Legend, line => line.Text.Contains("2000 Hz no response", StringComparison.Ordinal));
    }

    [Fact]
    public void Bone_IsATriangleAndWithMaskingABracketThatOpensAwayFromItsSide()
    {
        var plain = AudiogramDrawing.Of(Of(EarSide.Left, new PlottedThreshold(1000, 30, true, false, false)));
        var masked = AudiogramDrawing.Of(Of(EarSide.Left, new PlottedThreshold(1000, 30, true, true, false)));

        Assert.Equal(3, Assert.Single(plain.Shapes.OfType<Polyline>(), line => line.Ink is Ink.LeftEar && line.IsClosed).Points.Count);
        var bracket = Assert.Single(masked.Shapes.OfType<Polyline>(), line => line.Ink is Ink.LeftEar);
        Assert.True(bracket.Points[1].X > bracket.Points[0].X);
    }
}
