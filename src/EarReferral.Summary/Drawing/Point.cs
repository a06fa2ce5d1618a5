namespace EarReferral.Summary.Drawing;

/// <summary>A place in a drawing, x to the right, y downwards.</summary>
public readonly record struct Point(double X, double Y)
{
    /// <summary>The same place in a drawing of this width seen in a mirror.</summary>
    public Point Mirrored(double width) => new(width - X, Y);
}
