using EarReferral.Summary.Findings;

namespace EarReferral.Summary.Drawing;

/// <summary>Where a mark goes, in the drawing of a right ear.</summary>
internal static class MarkPlaces
{
    private const double Apart = 19;

    /// <summary>One place for each panel in which the finding can be shown.</summary>
    public static IReadOnlyList<Point> Of(EarPlace place) => place.Part switch
    {
        "on-drum" => [new(188, Along(place.Wall)), Quadrant(place.Quadrant)],
        "anterior-recess" => [new(190, Anatomy.Floor - 12)],
        "canal-bony-part" => [new(136, Along(place.Wall))],
        "canal-outer-third" => [new(54, Along(place.Wall))],
        _ => [],
    };

    /// <summary>The place itself, or the next one beside it that no other mark covers.</summary>
    public static Point Beside(Point wanted, IReadOnlyList<Point> taken)
    {
        var step = 0;
        var free = wanted;
        while (taken.Any(other => Math.Abs(other.X - free.X) < Apart && Math.Abs(other.Y - free.Y) < Apart))
        {
            // To alternate sides, ever further out along the canal.
            step++;
            free = wanted with { X = wanted.X + ((step % 2 == 1 ? -1 : 1) * ((step + 1) / 2) * Apart) };
        }

        return free;
    }

    // In a cut from top to bottom the front and back walls lie before and behind the paper, so their marks stand in the middle and the legend names the wall.
    private static double Along(string? wall) => wall switch
    {
        "superior" => Anatomy.Roof + 11,
        "inferior" => Anatomy.Floor - 11,
        _ => (Anatomy.Roof + Anatomy.Floor) / 2,
    };

    private static Point Quadrant(string? quadrant) => quadrant switch
    {
        "antero-superior" => new(Anatomy.DrumX + 32, Anatomy.DrumY - 20),
        "antero-inferior" => new(Anatomy.DrumX + 28, Anatomy.DrumY + 26),
        "postero-superior" => new(Anatomy.DrumX - 30, Anatomy.DrumY - 22),
        "postero-inferior" => new(Anatomy.DrumX - 28, Anatomy.DrumY + 26),
        "attic" => new(Anatomy.DrumX + 6, Anatomy.DrumY - 50),
        _ => new(Anatomy.DrumX, Anatomy.DrumY + 4),
    };
}
