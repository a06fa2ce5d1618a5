using System.ComponentModel;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Intake;
using EarReferral.Gateway.Referrals;
using EarReferral.Storage.Alarms;

namespace EarReferral.Gateway.Attention;

/// <summary>An alarm as people see it.</summary>
internal sealed record AlarmView
{
    public required string Id { get; init; }

    [Description("What it is about: the name of a matter of /attention in kebab case, or of the clock that ran out, such as delivery-overdue.")]
    public required string Kind { get; init; }

    [Description("The clinic whose contact list is told; empty where it is the operator's.")]
    public required string ClinicId { get; init; }

    public string? ReferralId { get; init; }

    public string? Tier { get; init; }

    [Description("Since when the trouble exists.")]
    public required DateTimeOffset Since { get; init; }

    public required DateTimeOffset RaisedAt { get; init; }

    [Description("How many steps of the contact list were told.")]
    public required int Told { get; init; }

    [Description("When the next step is told, unless somebody acknowledges it before.")]
    public DateTimeOffset? NextAt { get; init; }

    public DateTimeOffset? AcknowledgedAt { get; init; }

    public string? AcknowledgedBy { get; init; }

    public string? Note { get; init; }

    [Description("Every try to tell somebody; only where one alarm is asked for.")]
    public IReadOnlyList<AlarmMessageView>? Messages { get; init; }

    /// <summary>The view of an alarm.</summary>
    public static AlarmView Of(Alarm alarm, IReadOnlyList<AlarmMessage>? messages) => new()
    {
        Id = alarm.Id,
        Kind = alarm.Cause.Kind,
        ClinicId = alarm.Cause.ClinicId,
        ReferralId = alarm.Cause.ReferralId,
        Tier = alarm.Cause.Tier,
        Since = alarm.Cause.Since,
        RaisedAt = alarm.RaisedAt,
        Told = alarm.Step,
        NextAt = alarm.Acknowledged is null ? alarm.NextAt : null,
        AcknowledgedAt = alarm.Acknowledged?.At,
        AcknowledgedBy = alarm.Acknowledged?.Person,
        Note = alarm.Acknowledged?.Note,
        Messages = messages is null ? null : [.. messages.Select(each => new AlarmMessageView(each.MessageId, each.Step, each.Channel, each.At, each.Taken, each.Outcome))],
    };
}

internal sealed record AlarmMessageView(
    [property: Description("The same at every try of a step; a receiver drops repeats by it.")] string Id,
    int Step,
    string Channel,
    DateTimeOffset At,
    [property: Description("The next system took it; nobody need have read it.")] bool Taken,
    string Outcome);

internal sealed record AlarmList(IReadOnlyList<AlarmView> Items, string? Next);

/// <summary>Somebody takes an alarm on.</summary>
internal sealed record AcknowledgementByHand
{
    [Description("Who takes it on, by name.")]
    public string? Person { get; init; }

    [Description("What they will do.")]
    public string? Note { get; init; }

    /// <summary>Everything that is wrong with it.</summary>
    public IReadOnlyList<EncounterProblem> Problems() =>
    [
        .. AnswerByHand.Fits(Person, 200) ? Array.Empty<EncounterProblem>() : [IntakeProblems.AlarmPerson.At("/person")],
        .. Note is null || AnswerByHand.Fits(Note, 2000) ? Array.Empty<EncounterProblem>() : [IntakeProblems.AlarmNote.At("/note")],
    ];
}
