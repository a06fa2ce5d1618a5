namespace EarReferral.Delivery.Decisions;

/// <summary>What must be known of the attempt to judge its answer.</summary>
/// <param name="Entries">Entries of the transaction that was sent.</param>
/// <param name="Now">Our own clock, used when the answer has no Date.</param>
internal sealed record AttemptContext(int Entries, DateTimeOffset Now);
