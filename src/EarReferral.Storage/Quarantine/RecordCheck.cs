namespace EarReferral.Storage.Quarantine;

/// <summary>One look at a record that failed our own profiles.</summary>
/// <param name="At">When.</param>
/// <param name="Person">Who asked for it, by name; null for the look of the intake.</param>
/// <param name="Reason">Why, in the person's own words; null for the look of the intake.</param>
/// <param name="Passed">True when nothing stood against it any more: the look that released it.</param>
/// <param name="Software">Version of the program whose mapping and profiles were used.</param>
/// <param name="Issues">What the profiles said, as the gateway writes it. May quote values of the record: never log it.</param>
public sealed record RecordCheck(
    DateTimeOffset At, string? Person, string? Reason, bool Passed, string Software, ReadOnlyMemory<byte> Issues)
{
    /// <summary>Revision that was looked at; set by the store.</summary>
    public int Revision { get; internal init; }
}
