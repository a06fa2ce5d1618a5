namespace EarReferral.Storage.Schema.Rows;

/// <summary>Something that people are told of until one of them acknowledges it by name.</summary>
internal sealed class AlarmRow : IReachable
{
    public required string Id { get; init; }

    /// <summary>What it is about; at most one open alarm has it.</summary>
    public required string Key { get; init; }

    public required string Kind { get; init; }

    public required string ClinicId { get; init; }

    public string? PracticeOds { get; init; }

    public required string? ReferralId { get; init; }

    public required string? Tier { get; init; }

    public required DateTimeOffset Since { get; init; }

    public required DateTimeOffset RaisedAt { get; init; }

    /// <summary>How many steps of the contact list were told.</summary>
    public required int Step { get; set; }

    /// <summary>When the next step is told; a worker moves it on before it tells anybody, so that it is also its lease.</summary>
    public required DateTimeOffset NextAt { get; set; }

    public DateTimeOffset? AcknowledgedAt { get; set; }

    public string? AcknowledgedBy { get; set; }

    public string? Note { get; set; }
}

/// <summary>One try to tell somebody; written once, as it ended.</summary>
internal sealed class AlarmMessageRow
{
    public long Id { get; init; }

    public required string AlarmId { get; init; }

    public required string MessageId { get; init; }

    public required int Step { get; init; }

    public required string Channel { get; init; }

    public required DateTimeOffset At { get; init; }

    public required bool Taken { get; init; }

    public required string Outcome { get; init; }
}

/// <summary>What is known of a way to tell somebody, or of a receiver of notices.</summary>
internal sealed class ChannelRow
{
    public required string Name { get; init; }

    public DateTimeOffset? FailingSince { get; set; }

    public DateTimeOffset? LastTakenAt { get; set; }

    public string? LastOutcome { get; set; }

    /// <summary>When the next test message, or the next look for notices, is due.</summary>
    public required DateTimeOffset NextAt { get; set; }

    /// <summary>Last line that was passed on; used by receivers of notices only.</summary>
    public required long Position { get; set; }
}
