namespace EarReferral.Summary.Findings;

/// <summary>Where in the ear, in the patient's own anatomy.</summary>
/// <param name="Part">Code of the part: <c>canal-outer-third</c>, <c>canal-bony-part</c>, <c>anterior-recess</c> or <c>on-drum</c>.</param>
/// <param name="Wall">Code of the canal wall: <c>anterior</c>, <c>posterior</c>, <c>superior</c>, <c>inferior</c> or <c>all-round</c>; null when not recorded.</param>
/// <param name="Quadrant">Code of the drum quadrant, <c>attic</c> or <c>whole</c>; null when not recorded.</param>
/// <param name="Words">The place in words, as recorded.</param>
public sealed record EarPlace(string Part, string? Wall, string? Quadrant, string Words);
