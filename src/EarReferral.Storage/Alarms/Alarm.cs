namespace EarReferral.Storage.Alarms;

/// <summary>What an alarm is about: ids, a stable word and times, never clinical content.</summary>
/// <param name="Key">The same for the same trouble, so that it is raised once however often it is seen.</param>
/// <param name="Kind">Stable word, such as <c>delivery-overdue</c>.</param>
/// <param name="ClinicId">Clinic whose contact list is told; empty when it is nobody's in particular.</param>
/// <param name="ReferralId">Referral, where it is about one.</param>
/// <param name="Tier">Urgency behind it, where there is one.</param>
/// <param name="Since">Since when the trouble exists; its age is counted from here.</param>
public sealed record AlarmCause(string Key, string Kind, string ClinicId, string? ReferralId, string? Tier, DateTimeOffset Since);

/// <summary>A raised alarm.</summary>
/// <param name="Id">Stable id, repeated in every message about it.</param>
/// <param name="Cause">What it is about.</param>
/// <param name="RaisedAt">When it was raised.</param>
/// <param name="Step">How many steps of the contact list were told.</param>
/// <param name="NextAt">When the next one is.</param>
/// <param name="Acknowledged">By whom it was acknowledged; null while it is open.</param>
public sealed record Alarm(string Id, AlarmCause Cause, DateTimeOffset RaisedAt, int Step, DateTimeOffset NextAt, Acknowledgement? Acknowledged)
{
    /// <summary>Id of the message of the step that comes next; a repeat carries the same.</summary>
    public string MessageId => string.Create(System.Globalization.CultureInfo.InvariantCulture, $"{Id}-{Step}");
}

/// <summary>Somebody has taken an alarm on.</summary>
/// <param name="At">When.</param>
/// <param name="Person">Who, by name.</param>
/// <param name="Note">What they will do, in their own words.</param>
public sealed record Acknowledgement(DateTimeOffset At, string Person, string? Note);

/// <summary>One try to tell somebody.</summary>
/// <param name="MessageId">The same at every try of a step.</param>
/// <param name="Step">Step of the contact list, counted from the raising.</param>
/// <param name="Channel">Name of the channel.</param>
/// <param name="At">When.</param>
/// <param name="Taken">True when the channel took it. Nobody need have read it.</param>
/// <param name="Outcome">Stable word for how it ended.</param>
public sealed record AlarmMessage(string MessageId, int Step, string Channel, DateTimeOffset At, bool Taken, string Outcome);

/// <summary>What is known of a channel.</summary>
/// <param name="Name">Name in the configuration.</param>
/// <param name="FailingSince">Since when nothing got through; null when the last message did.</param>
/// <param name="LastTakenAt">When something last got through.</param>
/// <param name="LastOutcome">How the last try ended.</param>
/// <param name="NextAt">When the next test message is due.</param>
/// <param name="Position">Last line passed on, of a receiver of notices.</param>
public sealed record ChannelState(string Name, DateTimeOffset? FailingSince, DateTimeOffset? LastTakenAt, string? LastOutcome, DateTimeOffset NextAt, long Position);

/// <summary>What became of an acknowledgement.</summary>
public enum AcknowledgeOutcome
{
    /// <summary>It is acknowledged now.</summary>
    Acknowledged,

    /// <summary>Somebody had done so before; the first name stands.</summary>
    Before,

    /// <summary>No such alarm within reach.</summary>
    NotFound,
}
