using System.ComponentModel;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Intake;
using EarReferral.Referrals.Transitions;

namespace EarReferral.Gateway.Referrals;

/// <summary>What a receiver said otherwise than electronically, and who wrote it down.</summary>
internal sealed record AnswerByHand
{
    private static readonly Dictionary<string, HandAnswer> Words = new(StringComparer.Ordinal)
    {
        ["received"] = HandAnswer.Received,
        ["accepted"] = HandAnswer.Accepted,
        ["returned"] = HandAnswer.Returned,
        ["moreWanted"] = HandAnswer.MoreWanted,
        ["booked"] = HandAnswer.Booked,
        ["didNotAttend"] = HandAnswer.DidNotAttend,
        ["seen"] = HandAnswer.Seen,
    };

    [Description("received, accepted, returned (say why in reason), moreWanted, booked, didNotAttend or seen.")]
    public string? Answer { get; init; }

    [Description("phone, letter or email.")]
    public string? Channel { get; init; }

    [Description("Who at the receiver said it, by name or post.")]
    public string? SaidBy { get; init; }

    [Description("Who writes it down, by name.")]
    public string? Person { get; init; }

    [Description("When it was said, or the date of the letter.")]
    public DateTimeOffset? At { get; init; }

    [Description("Why they return it, or what they want to know; required for returned and moreWanted, and kept with the Task.")]
    public string? Reason { get; init; }

    /// <summary>The answer; null when it is none.</summary>
    public HandAnswer? Read() => Answer is not null && Words.TryGetValue(Answer, out var answer) ? answer : null;

    /// <summary>Everything that is wrong with it.</summary>
    public IReadOnlyList<EncounterProblem> Problems(DateTimeOffset now) =>
    [
        .. Read() is not null ? Array.Empty<EncounterProblem>() : [IntakeProblems.HandAnswerUnknown.At("/answer")],
        .. Channel is "phone" or "letter" or "email" ? Array.Empty<EncounterProblem>() : [IntakeProblems.HandChannel.At("/channel")],
        .. Fits(SaidBy, 200) ? Array.Empty<EncounterProblem>() : [IntakeProblems.HandSaidBy.At("/saidBy")],
        .. Fits(Person, 200) ? Array.Empty<EncounterProblem>() : [IntakeProblems.HandPerson.At("/person")],
        .. At is { } at && at <= now.AddMinutes(5) ? Array.Empty<EncounterProblem>() : [IntakeProblems.HandTime.At("/at")],
        .. Read() is not (HandAnswer.Returned or HandAnswer.MoreWanted) || Fits(Reason, 2000) ? Array.Empty<EncounterProblem>() : [IntakeProblems.HandReason.At("/reason")],
    ];

    internal static bool Fits(string? text, int longest) => !string.IsNullOrWhiteSpace(text) && text.Length <= longest;
}

/// <summary>A telephone call about a referral.</summary>
internal sealed record CallByHand
{
    [Description("Who called, by name.")]
    public string? Person { get; init; }

    [Description("Who answered, by name or post; not needed when nobody did.")]
    public string? SaidBy { get; init; }

    [Description("When.")]
    public DateTimeOffset? At { get; init; }

    [Description("taken: a clinician there has taken the referral, which stops the clock of the delivery. callBack: they will call back. notReached: nobody answered.")]
    public string? Outcome { get; init; }

    /// <summary>Everything that is wrong with it.</summary>
    public IReadOnlyList<EncounterProblem> Problems(DateTimeOffset now) =>
    [
        .. AnswerByHand.Fits(Person, 200) ? Array.Empty<EncounterProblem>() : [IntakeProblems.HandPerson.At("/person")],
        .. Outcome == "notReached" || AnswerByHand.Fits(SaidBy, 200) ? Array.Empty<EncounterProblem>() : [IntakeProblems.HandSaidBy.At("/saidBy")],
        .. At is { } at && at <= now.AddMinutes(5) ? Array.Empty<EncounterProblem>() : [IntakeProblems.HandTime.At("/at")],
        .. Outcome is "taken" or "callBack" or "notReached" ? Array.Empty<EncounterProblem>() : [IntakeProblems.CallOutcome.At("/outcome")],
    ];
}
