using EarReferral.Storage.Identity;

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

/// <summary>Who one visit says its patient is; one row per visit.</summary>
internal sealed class PatientLinkRow : IReachable
{
    public required Guid EncounterKey { get; init; }

    public required Guid PatientKey { get; init; }

    public required string? NhsNumber { get; init; }

    public required bool Verified { get; init; }

    /// <summary>A whole date, <c>yyyy-MM-dd</c>.</summary>
    public required string BirthDate { get; init; }

    public required string ClinicId { get; init; }

    public string? PracticeOds { get; init; }

    public required DateTimeOffset RecordedAt { get; init; }

    public required bool Retracted { get; init; }

    /// <summary>True when the patient may be found by this number; derived by <see cref="IdentityRule"/>.</summary>
    public required bool Counts { get; set; }
}

/// <summary>A patient whose records contradict each other; derived by <see cref="IdentityRule"/>.</summary>
internal sealed class IdentityConflictRow : IReachable
{
    public required Guid PatientKey { get; init; }

    public required IdentityConflictKind Kind { get; init; }

    /// <summary>The number that two patients share; empty for a contradiction between the visits of one.</summary>
    public required string NhsNumber { get; init; }

    public required string ClinicId { get; init; }

    public string? PracticeOds { get; init; }

    public required DateTimeOffset FoundAt { get; init; }
}

/// <summary>What a named person decided about a patient record; kept after it has ceased to hold.</summary>
internal sealed class IdentityDecisionRow
{
    public required Guid Id { get; init; }

    public required Guid PatientKey { get; init; }

    public required bool Linked { get; init; }

    public required string Person { get; init; }

    public required string Reason { get; init; }

    /// <summary>What the visits said when it was decided.</summary>
    public required string Facts { get; init; }

    public required DateTimeOffset DecidedAt { get; init; }

    public required bool Holds { get; set; }
}
