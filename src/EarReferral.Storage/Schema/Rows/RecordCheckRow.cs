namespace EarReferral.Storage.Schema.Rows;

/// <summary>One look at a record that failed our own profiles: the intake's, then each by a person; written once.</summary>
internal sealed class RecordCheckRow : IReachable
{
    public required Guid Id { get; init; }

    public required Guid EncounterKey { get; init; }

    public required int Revision { get; init; }

    public required string ClinicId { get; init; }

    public string? PracticeOds { get; init; }

    public required DateTimeOffset At { get; init; }

    /// <summary>Who asked for it; null for the intake's own.</summary>
    public string? Person { get; init; }

    public string? Reason { get; init; }

    public required bool Passed { get; init; }

    /// <summary>Version of the program whose mapping and profiles were used.</summary>
    public required string Software { get; init; }

    /// <summary>What the profiles said, as the gateway writes it.</summary>
    public required byte[] Issues { get; init; }

    /// <summary>Receipt and decision that a release replaced; null where nothing was replaced.</summary>
    public byte[]? ReplacedReceipt { get; init; }

    public byte[]? ReplacedDecision { get; init; }
}
