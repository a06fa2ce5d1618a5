namespace EarReferral.Storage.Encounters;

/// <summary>A stored revision of an encounter.</summary>
public sealed record StoredEncounter(
    Guid EncounterKey,
    string ClinicId,
    string ClinicEncounterId,
    int Revision,
    string ContractVersion,
    string TimeZone,
    Guid PatientKey,
    string? PracticeOds,
    string ContentSha256,
    ReadOnlyMemory<byte> Raw,
    DateTimeOffset ReceivedAt,
    DateTimeOffset EvaluatedAt,
    string State,
    string Tier,
    bool Late,
    ReadOnlyMemory<byte> Receipt,
    ReadOnlyMemory<byte> Decision)
{
    /// <summary><see cref="State"/> of an encounter that the clinic retracted; nothing follows it.</summary>
    public const string Retracted = "retracted";

    /// <summary><see cref="State"/> of an encounter whose record failed our own profiles; nothing of it is sent or served.</summary>
    public const string Quarantined = "quarantined";

    /// <summary>True while it is kept without a record.</summary>
    public bool IsQuarantined => State == Quarantined;

    /// <summary>True when the clinic retracted it: its <see cref="Raw"/> is the retraction.</summary>
    public bool IsRetracted => State == Retracted;
}

/// <summary>A page of a list; follow <see cref="Next"/> until it is null.</summary>
/// <param name="Items">What is on this page.</param>
/// <param name="Next">Opaque cursor of the next page, null on the last.</param>
public sealed record Page<T>(IReadOnlyList<T> Items, string? Next);
