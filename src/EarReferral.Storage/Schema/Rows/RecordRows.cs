using EarReferral.Storage.Audit;

namespace EarReferral.Storage.Schema.Rows;

/// <summary>Who did what to which record; ids only. Written once.</summary>
internal sealed class AuditRow : IReachable
{
    public long Id { get; init; }

    public required DateTimeOffset At { get; init; }

    public required AuditAction Action { get; init; }

    public required AuditResult Result { get; init; }

    public required string Actor { get; init; }

    public required string? RequestId { get; init; }

    public required string? Purpose { get; init; }

    public required string? ResourceType { get; init; }

    public required string? ResourceId { get; init; }

    public required Guid? PatientKey { get; init; }

    public required string ClinicId { get; init; }

    public required string? PracticeOds { get; init; }

    public required byte[]? Query { get; init; }

    public string? TokenId { get; init; }
}

/// <summary>One link of the chain over the audit rows; written once, after the row it seals.</summary>
internal sealed class AuditSealRow
{
    /// <summary>Place in the chain, from 1, without gaps.</summary>
    public required long Position { get; init; }

    public required long AuditId { get; init; }

    /// <summary>Random bytes that go into the digest, so that it tells nothing of the row once both are erased; null after an erasure.</summary>
    public byte[]? Salt { get; set; }

    public required byte[] Digest { get; init; }

    /// <summary>SHA-256 over the link before and this digest.</summary>
    public required byte[] Link { get; init; }
}

/// <summary>A refused post; says which problems, never what the clinic wrote.</summary>
internal sealed class RefusalRow : IReachable
{
    public long Id { get; init; }

    public required string ClinicId { get; init; }

    public string? PracticeOds { get; init; }

    public required string ClientId { get; init; }

    public required string? ClinicEncounterId { get; init; }

    public required DateTimeOffset At { get; init; }

    public required string ProblemIds { get; init; }

    public required string? ProvisionalTier { get; init; }
}
