namespace EarReferral.Storage.Schema.Rows;

/// <summary>The current state of one FHIR resource: who may see it and which version is current.</summary>
internal sealed class ResourceRow : IAddressed
{
    public long Key { get; init; }

    public required string Type { get; init; }

    public required string Id { get; init; }

    public required int Version { get; set; }

    public required DateTimeOffset LastUpdated { get; set; }

    public required string ContentSha256 { get; set; }

    public required string ClinicId { get; init; }

    public required string? PracticeOds { get; set; }

    public string? Destination { get; set; }

    /// <summary>True for people and organisations of the clinic: they carry no patient and belong to no one practice.</summary>
    public required bool Shared { get; init; }

    public required Guid? PatientKey { get; set; }

    /// <summary>Encounter that first brought it; a correction retires what it no longer carries.</summary>
    public required Guid? EncounterKey { get; init; }

    /// <summary>Start of the resource's own date in Unix milliseconds, for sorting; the smallest value when it has none.</summary>
    public required long SortDate { get; set; }
}

/// <summary>One version of a resource; written once.</summary>
internal sealed class ResourceVersionRow
{
    public long ResourceKey { get; init; }

    public ResourceRow? Resource { get; init; }

    public required int Version { get; init; }

    public required DateTimeOffset LastUpdated { get; init; }

    public required string Json { get; init; }
}
