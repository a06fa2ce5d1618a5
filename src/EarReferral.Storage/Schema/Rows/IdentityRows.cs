namespace EarReferral.Storage.Schema.Rows;

internal enum IdentityKind
{
    Clinic,
    Encounter,
    Patient,
    Practitioner,
}

/// <summary>Random seed of one thing under the clinic's own key.</summary>
internal sealed class IdentitySeedRow
{
    public required string ClinicId { get; init; }

    public required IdentityKind Kind { get; init; }

    public required string LocalId { get; init; }

    public required Guid Seed { get; init; }
}

/// <summary>What a clinic says about a patient's NHS number.</summary>
internal sealed class PatientLinkRow : IReachable
{
    public required Guid PatientKey { get; init; }

    public required string NhsNumber { get; init; }

    public required string ClinicId { get; init; }

    public string? PracticeOds { get; set; }

    public required bool Verified { get; set; }

    /// <summary>As sent: <c>yyyy</c>, <c>yyyy-MM</c> or <c>yyyy-MM-dd</c>.</summary>
    public required string? BirthDate { get; set; }

    public required DateTimeOffset RecordedAt { get; set; }
}

/// <summary>Two patients that share a verified NHS number and differ in birth date.</summary>
internal sealed class IdentityConflictRow : IReachable
{
    public required Guid PatientKey { get; init; }

    public required Guid OtherPatientKey { get; init; }

    public required string NhsNumber { get; init; }

    public required string ClinicId { get; init; }

    public string? PracticeOds { get; init; }

    public required DateTimeOffset FoundAt { get; init; }
}
