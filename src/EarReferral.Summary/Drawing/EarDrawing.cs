using EarReferral.Summary.Findings;

namespace EarReferral.Summary.Drawing;

/// <summary>Draws one ear at one moment from its findings alone.</summary>
public static class EarDrawing
{
    /// <summary>Draws an ear.</summary>
    public static Picture Of(EarView view)
    {
        ArgumentNullException.ThrowIfNull(view);
        var title = $"{Side(view.Side)}, {Moment(view.Moment)}";
        if (!view.WasExamined && view.Findings.Count == 0)
        {
            return new Picture(title, Anatomy.Width, Anatomy.Height, Mirror([.. Anatomy.Canal, .. Anatomy.Drum, .. Anatomy.UnseenCanal, .. Anatomy.UnseenDrum, Anatomy.DrumCaption("Drum: not examined")], view.Side), [new LegendLine(null, "not examined")]);
        }

        var marks = new List<Shape>();
        var legend = new List<LegendLine>();
        var taken = new List<Point>();
        foreach (var finding in view.Findings)
        {
            if (finding.Place is not { } place)
            {
                legend.Add(new LegendLine(null, $"{finding.Words}, place not recorded"));
                continue;
            }

            var number = legend.Count(line => line.Number is not null) + 1;
            foreach (var spot in MarkPlaces.Of(place))
            {
                var free = MarkPlaces.Beside(spot, taken);
                taken.Add(free);
                marks.AddRange(MarkShapes.Of(finding.Kind, number, free));
            }

            legend.Add(new LegendLine(number, $"{finding.Words} ({place.Words})"));
        }

        legend.AddRange(Unseen(view));
        return new Picture(title, Anatomy.Width, Anatomy.Height, Mirror([.. Background(view), .. marks], view.Side), legend.Count == 0 ? [new LegendLine(null, "nothing to mark was recorded")] : legend);
    }

    private static IEnumerable<Shape> Background(EarView view) =>
    [
        .. Anatomy.Canal,
        .. view.WasExamined ? [] : Anatomy.UnseenCanal,
        .. Anatomy.Drum,
        .. view.Drum switch
        {
            DrumView.Fully => view.LightReflex is true ? Anatomy.LightReflex : [],
            DrumView.Partly => Anatomy.PartlyUnseenDrum,
            DrumView.NotSeen or DrumView.NotRecorded => Anatomy.UnseenDrum,
        },
        Anatomy.DrumCaption(view.Drum switch
        {
            DrumView.Fully => "Drum as seen",
            DrumView.Partly => "Drum: seen in part",
            DrumView.NotSeen => "Drum: not seen",
            DrumView.NotRecorded => "Drum: not recorded",
        }),
    ];

    private static IEnumerable<LegendLine> Unseen(EarView view) => view.Drum switch
    {
        DrumView.Fully => [],
        DrumView.Partly => [new LegendLine(null, "drum seen only in part; which part is not recorded")],
        DrumView.NotSeen => [new LegendLine(null, "drum not seen")],
        DrumView.NotRecorded => [new LegendLine(null, "not recorded whether the drum was seen")],
    };

    // Everything is laid out for a right ear; a left ear is its mirror image, with its words the right way round.
    private static IReadOnlyList<Shape> Mirror(IReadOnlyList<Shape> shapes, EarSide side) => side switch
    {
        EarSide.Right => shapes,
        EarSide.Left => [.. shapes.Select(Mirrored)],
    };

    private static Shape Mirrored(Shape shape) => shape switch
    {
        Polyline line => line with { Points = [.. line.Points.Select(point => point.Mirrored(Anatomy.Width))] },
        Ellipse ellipse => ellipse with { Centre = ellipse.Centre.Mirrored(Anatomy.Width) },
        Label label => label with { At = label.At.Mirrored(Anatomy.Width) },
        _ => throw new ArgumentOutOfRangeException(nameof(shape), shape, "Not a primitive of a drawing."),
    };

    private static string Side(EarSide side) => side switch { EarSide.Right => "Right ear", EarSide.Left => "Left ear" };

    private static string Moment(ExaminationMoment moment) => moment switch { ExaminationMoment.Before => "before the procedure", ExaminationMoment.After => "after the procedure" };
}
