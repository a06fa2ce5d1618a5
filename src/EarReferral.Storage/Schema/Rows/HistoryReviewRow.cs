namespace EarReferral.Storage.Schema.Rows;

/// <summary>A visit that was decided before an earlier visit of the patient came, changed or was taken back; one row at most per visit.</summary>
internal sealed class HistoryReviewRow : IReachable
{
    public required Guid EncounterKey { get; init; }

    /// <summary>The revision that was decided; a later one was decided anew and needs no review.</summary>
    public required int Revision { get; init; }

    public required string ClinicId { get; init; }

    public string? PracticeOds { get; init; }

    /// <summary>The clinic's own number of the earlier visit.</summary>
    public required string Cause { get; init; }

    public required DateTimeOffset FoundAt { get; init; }

    /// <summary>Null until somebody has decided again; then what differs, as the gateway writes it.</summary>
    public string? Finding { get; init; }
}
