namespace EarReferral.Storage.Schema.Rows;

/// <summary>One revision of one encounter as it was received; written once.</summary>
internal sealed class EncounterRow : IReachable
{
    public long Id { get; init; }

    public required Guid EncounterKey { get; init; }

    public required string ClinicId { get; init; }

    public required string ClinicEncounterId { get; init; }

    public required int Revision { get; init; }

    public required string ContractVersion { get; init; }

    public required string TimeZone { get; init; }

    public required Guid PatientKey { get; init; }

    public string? PracticeOds { get; init; }

    public required string ContentSha256 { get; init; }

    public required byte[] Raw { get; init; }

    public required DateTimeOffset ReceivedAt { get; init; }

    public required DateTimeOffset EvaluatedAt { get; init; }

    public required string State { get; init; }

    public required string Tier { get; init; }

    public required bool Late { get; init; }

    public required byte[] Receipt { get; init; }

    public required byte[] Decision { get; init; }
}
