namespace EarReferral.Summary.Drawing;

/// <summary>One primitive of a drawing. Lengths are in units of the drawing, x to the right, y downwards.</summary>
public abstract record Shape(Ink Ink);

/// <summary>Straight lines through points.</summary>
/// <param name="Points">At least two.</param>
/// <param name="IsClosed">Whether the last point is joined to the first and the inside is filled.</param>
/// <param name="Ink">How it is drawn.</param>
public sealed record Polyline(IReadOnlyList<Point> Points, bool IsClosed, Ink Ink) : Shape(Ink);

/// <summary>An ellipse whose axes lie along x and y.</summary>
public sealed record Ellipse(Point Centre, double RadiusX, double RadiusY, Ink Ink) : Shape(Ink);

/// <summary>A short text, centred on a point at its middle height.</summary>
/// <param name="Text">What it says; not yet escaped.</param>
/// <param name="At">The middle of the text.</param>
/// <param name="Size">Height of the type.</param>
/// <param name="Ink">How it is drawn.</param>
public sealed record Label(string Text, Point At, double Size, Ink Ink) : Shape(Ink);
