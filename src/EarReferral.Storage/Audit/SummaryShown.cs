namespace EarReferral.Storage.Audit;

/// <summary>One time that a summary left the gateway.</summary>
/// <param name="SummaryId">Id of the Composition.</param>
/// <param name="At">When.</param>
/// <param name="ByHand">True where somebody wrote down that they handed it over; false where a client read it.</param>
/// <param name="Actor">Who read it, or whose software wrote it down.</param>
public sealed record SummaryShown(string SummaryId, DateTimeOffset At, bool ByHand, string Actor);
