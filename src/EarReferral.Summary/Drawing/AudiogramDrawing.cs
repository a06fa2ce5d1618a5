using System.Globalization;
using EarReferral.Summary.Findings;

namespace EarReferral.Summary.Drawing;

/// <summary>Draws the audiogram of one ear.</summary>
/// <remarks>
/// Right ear red with circles, left ear blue with crosses, hearing level in dB HL downwards, frequency on a logarithmic axis, one octave as wide
/// as 20 dB are high, bone conduction without masking a triangle and with masking a bracket, no response an arrow downwards: as in the recommended procedure of the British Society of
/// Audiology for pure-tone audiometry and ISO 8253-1; from memory, neither was at hand.
/// </remarks>
public static class AudiogramDrawing
{
    private const double Left = 52, Top = 34, Octave = 40, Decibel = Octave / 20, Half = 5.5;
    private const int LowestHz = 125, HighestLevel = 120, LowestLevel = -10;
    private const double Right = Left + (6.6 * Octave), Bottom = Top + ((HighestLevel - LowestLevel) * Decibel);

    /// <summary>Draws it. Values beyond the axes stand in the words below it.</summary>
    public static Picture Of(Audiogram audiogram)
    {
        ArgumentNullException.ThrowIfNull(audiogram);
        var ink = audiogram.Side switch { EarSide.Right => Ink.RightEar, EarSide.Left => Ink.LeftEar };
        var plotted = audiogram.Thresholds.Where(IsOnPaper).ToList();
        // Air conduction is joined by a line, but not across what brought no response.
        var lines = plotted.Where(threshold => !threshold.IsBone).Zip(plotted.Where(threshold => !threshold.IsBone).Skip(1))
            .Where(pair => !Between(audiogram, pair.First, pair.Second))
            .Select(pair => new Polyline([Place(pair.First), Place(pair.Second)], IsClosed: false, ink));
        return new Picture(
            $"{(audiogram.Side is EarSide.Right ? "Right" : "Left")} ear, audiogram{(audiogram.MeasuredOn is { } date ? $" of {date}" : ", date not recorded")}",
            Right + 16,
            Bottom + 14,
            [.. Axes(), .. lines, .. plotted.SelectMany(threshold => Symbol(threshold, audiogram.Side, ink)), .. audiogram.Thresholds.Where(threshold => threshold.HasNoResponse && threshold.Level is null).SelectMany(threshold => Arrow(threshold, ink))],
            [.. Legend(audiogram)]);
    }

    private static bool IsOnPaper(PlottedThreshold threshold) => threshold is { Level: >= LowestLevel and <= HighestLevel, FrequencyHz: >= LowestHz and <= 12_000 };

    private static bool Between(Audiogram audiogram, PlottedThreshold one, PlottedThreshold other) =>
        audiogram.Thresholds.Any(threshold => !threshold.IsBone && threshold.Level is null && threshold.FrequencyHz > one.FrequencyHz && threshold.FrequencyHz < other.FrequencyHz);

    private static double X(int hertz) => Left + (Math.Log2((double)hertz / LowestHz) * Octave);

    private static double Y(decimal level) => Top + (((double)level - LowestLevel) * Decibel);

    private static Point Place(PlottedThreshold threshold) => new(X(threshold.FrequencyHz), Y(threshold.Level!.Value));

    private static IEnumerable<Shape> Axes()
    {
        foreach (var hertz in new[] { 125, 250, 500, 1000, 2000, 4000, 8000 })
        {
            yield return new Polyline([new(X(hertz), Top), new(X(hertz), Bottom)], IsClosed: false, Ink.Detail);
            yield return new Label(hertz.ToString(CultureInfo.InvariantCulture), new(X(hertz), Top - 9), 9, Ink.Caption);
        }

        for (var level = LowestLevel; level <= HighestLevel; level += 10)
        {
            yield return new Polyline([new(Left, Y(level)), new(Right, Y(level))], IsClosed: false, level == 0 ? Ink.Outline : Ink.Detail);
            if (level % 20 == 0)
            {
                yield return new Label(level.ToString(CultureInfo.InvariantCulture), new(Left - 14, Y(level)), 9, Ink.Caption);
            }
        }

        yield return new Label("Frequency in Hz", new((Left + Right) / 2, 10), 9, Ink.Caption);
        yield return new Label("dB HL", new(20, Top - 9), 9, Ink.Caption);
    }

    private static IEnumerable<Shape> Symbol(PlottedThreshold threshold, EarSide side, Ink ink)
    {
        var (x, y) = (Place(threshold).X, Place(threshold).Y);
        return (threshold.IsBone, threshold.IsMasked, side) switch
        {
            (false, _, EarSide.Right) => [new Ellipse(new(x, y), Half, Half, ink)],
            (false, _, EarSide.Left) => [Line(ink, (x - Half, y - Half), (x + Half, y + Half)), Line(ink, (x - Half, y + Half), (x + Half, y - Half))],
            (true, false, _) => [new Polyline([new(x, y - Half), new(x + Half, y + Half), new(x - Half, y + Half)], IsClosed: true, ink)],
            (true, true, EarSide.Right) => [Line(ink, (x - 3, y - Half), (x - 8, y - Half), (x - 8, y + Half), (x - 3, y + Half))],
            (true, true, EarSide.Left) => [Line(ink, (x + 3, y - Half), (x + 8, y - Half), (x + 8, y + Half), (x + 3, y + Half))],
        };
    }

    // The record does not say at which level the audiometer ended, so the arrow stands at the foot of the plot.
    private static IEnumerable<Shape> Arrow(PlottedThreshold threshold, Ink ink)
    {
        var x = X(Math.Clamp(threshold.FrequencyHz, LowestHz, 12_000)) + (threshold.IsBone ? 7 : 0);
        return [Line(ink, (x, Bottom - 24), (x, Bottom - 6)), Line(ink, (x - 4, Bottom - 12), (x, Bottom - 6), (x + 4, Bottom - 12))];
    }

    private static Polyline Line(Ink ink, params (double X, double Y)[] points) => new([.. points.Select(point => new Point(point.X, point.Y))], IsClosed: false, ink);

    private static IEnumerable<LegendLine> Legend(Audiogram audiogram)
    {
        foreach (var group in audiogram.Thresholds.GroupBy(threshold => threshold.IsBone))
        {
            var symbol = (group.Key, audiogram.Side) switch
            {
                (false, EarSide.Right) => "air conduction (circle)",
                (false, EarSide.Left) => "air conduction (cross)",
                (true, _) => "bone conduction (triangle; bracket when masked)",
            };
            yield return new LegendLine(null, $"{symbol}: {string.Join(", ", group.Select(AudiogramReader.Words))}");
        }

        if (audiogram.Thresholds.Any(threshold => threshold.HasNoResponse))
        {
            yield return new LegendLine(null, "arrow: no response at the limit of the audiometer");
        }

        if (audiogram.EarlierWords.Count > 0)
        {
            yield return new LegendLine(null, $"earlier audiogram, not plotted: {string.Join(", ", audiogram.EarlierWords)}");
        }
    }
}
