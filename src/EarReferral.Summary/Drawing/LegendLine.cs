namespace EarReferral.Summary.Drawing;

/// <summary>One line below a drawing.</summary>
/// <param name="Number">Number of the mark; null for what has no mark.</param>
/// <param name="Text">What it says; not yet escaped.</param>
public sealed record LegendLine(int? Number, string Text)
{
    /// <summary>The line as it is read.</summary>
    public override string ToString() => Number is { } number ? string.Create(System.Globalization.CultureInfo.InvariantCulture, $"{number}: {Text}") : Text;
}
