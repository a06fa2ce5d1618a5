namespace EarReferral.Summary.Drawing;

/// <summary>A picture as a list of primitives; the page and the paper draw the same list.</summary>
/// <param name="Title">What it shows.</param>
/// <param name="Width">Width in units of the picture.</param>
/// <param name="Height">Height in units of the picture.</param>
/// <param name="Shapes">Primitives from back to front.</param>
/// <param name="Legend">What each mark is and where, then what has no place and what was not seen. The picture says nothing that these lines do not.</param>
public sealed record Picture(string Title, double Width, double Height, IReadOnlyList<Shape> Shapes, IReadOnlyList<LegendLine> Legend)
{
    /// <summary>The whole picture in one sentence after another, for who cannot see it.</summary>
    public string Description => string.Join(' ', Legend.Select(line => $"{line}."));
}
