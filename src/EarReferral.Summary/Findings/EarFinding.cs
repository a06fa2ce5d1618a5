namespace EarReferral.Summary.Findings;

/// <summary>One thing that was seen, to be marked in a drawing or listed below it.</summary>
/// <param name="Kind">What it is.</param>
/// <param name="Words">What it is, in words, without its place.</param>
/// <param name="Place">Where; null when the record does not say.</param>
public sealed record EarFinding(FindingKind Kind, string Words, EarPlace? Place);
