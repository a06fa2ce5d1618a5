namespace EarReferral.Summary.Drawing;

/// <summary>
/// The right ear: on the left the canal in section, cut from top to bottom and seen from the front, on the right the drum as
/// the examiner sees it, front towards the right. A sketch to point at, not to scale.
/// </summary>
/// <remarks>
/// Common practice, no source: the outer third of the canal is cartilage and the inner two thirds bone, the drum leans so that
/// the floor is longer than the roof, the handle of the hammer points down and back to the middle of the drum, the light
/// reflex lies in the lower front quadrant, the attic above the handle.
/// </remarks>
internal static class Anatomy
{
    public const double Width = 400;
    public const double Height = 190;

    /// <summary>Where the canal opens and where the drum stands, along x.</summary>
    public const double Opening = 24, OuterThirdEnd = 84, DrumFoot = 206, DrumTop = 186;

    /// <summary>Roof and floor of the canal.</summary>
    public const double Roof = 62, Floor = 122;

    public const double DrumX = 304, DrumY = 96, DrumRadius = 62;

    public static IReadOnlyList<Shape> Canal { get; } =
    [
        new Polyline([new(10, 40), new(Opening, Roof), new(OuterThirdEnd, Roof - 2), new(DrumTop, Roof)], IsClosed: false, Ink.Outline),
        new Polyline([new(10, 146), new(Opening, Floor + 6), new(OuterThirdEnd, Floor), new(150, Floor - 4), new(DrumFoot, Floor)], IsClosed: false, Ink.Outline),
        new Polyline([new(DrumTop, Roof), new(192, 92), new(DrumFoot, Floor)], IsClosed: false, Ink.Outline),
        new Polyline([new(OuterThirdEnd, Roof - 8), new(OuterThirdEnd, Floor + 8)], IsClosed: false, Ink.Detail),
        new Label("outer third", new(54, 40), 10, Ink.Caption),
        new Label("bony part", new(136, 40), 10, Ink.Caption),
        new Label("drum", new(208, 52), 10, Ink.Caption),
        new Label("Canal in section", new(110, 172), 11, Ink.Caption),
    ];

    public static IReadOnlyList<Shape> Drum { get; } =
    [
        new Ellipse(new(DrumX, DrumY), DrumRadius, DrumRadius, Ink.Outline),
        new Polyline([new(DrumX + 10, DrumY - 42), new(DrumX, DrumY)], IsClosed: false, Ink.Outline),
        new Polyline([new(DrumX - 36, DrumY - 46), new(DrumX + 10, DrumY - 38), new(DrumX + 44, DrumY - 40)], IsClosed: false, Ink.Detail),
        new Polyline([new(DrumX, DrumY), new(DrumX, DrumY + DrumRadius)], IsClosed: false, Ink.Detail),
        new Polyline([new(DrumX - DrumRadius, DrumY), new(DrumX + DrumRadius, DrumY)], IsClosed: false, Ink.Detail),
        new Label("front", new(DrumX + DrumRadius + 16, DrumY), 10, Ink.Caption),
        new Label("back", new(DrumX - DrumRadius - 15, DrumY), 10, Ink.Caption),
    ];

    /// <summary>What stands under the drum; inside it every word could lie under a mark.</summary>
    public static Label DrumCaption(string words) => new(words, new(DrumX, 172), 11, Ink.Caption);

    public static IReadOnlyList<Shape> LightReflex { get; } =
    [
        new Polyline([new(DrumX + 2, DrumY + 3), new(DrumX + 38, DrumY + 34), new(DrumX + 24, DrumY + 46)], IsClosed: true, Ink.Detail),
    ];

    public static IReadOnlyList<Shape> UnseenDrum { get; } =
    [
        new Ellipse(new(DrumX, DrumY), DrumRadius, DrumRadius, Ink.Unseen),
    ];

    /// <summary>The hatching covers no quadrant in particular, because the record does not say which part was seen.</summary>
    public static IReadOnlyList<Shape> PartlyUnseenDrum { get; } =
    [
        new Ellipse(new(DrumX, DrumY), DrumRadius - 4, 12, Ink.Unseen),
    ];

    public static IReadOnlyList<Shape> UnseenCanal { get; } =
    [
        new Polyline([new(Opening, Roof), new(DrumTop, Roof), new(DrumFoot, Floor), new(Opening, Floor)], IsClosed: true, Ink.Unseen),
    ];
}
