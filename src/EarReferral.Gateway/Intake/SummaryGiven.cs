using System.ComponentModel;
using System.Globalization;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Referrals;

namespace EarReferral.Gateway.Intake;

/// <summary>Somebody of the clinic handed a summary over, or told its content, because no system fetches it.</summary>
internal sealed record SummaryGiven
{
    [Description("Who did it, by name.")]
    public string? Person { get; init; }

    [Description("patientCopy: the printed copy, by hand. post, secureEmail, phone.")]
    public string? Way { get; init; }

    [Description("patient, carer or practice.")]
    public string? To { get; init; }

    [Description("When.")]
    public DateTimeOffset? At { get; init; }

    /// <summary>Everything that is wrong with it.</summary>
    public IReadOnlyList<EncounterProblem> Problems(DateTimeOffset now) =>
    [
        .. AnswerByHand.Fits(Person, 200) ? Array.Empty<EncounterProblem>() : [IntakeProblems.HandPerson.At("/person")],
        .. Way is "patientCopy" or "post" or "secureEmail" or "phone" ? Array.Empty<EncounterProblem>() : [IntakeProblems.GivenWay.At("/way")],
        .. To is "patient" or "carer" or "practice" ? Array.Empty<EncounterProblem>() : [IntakeProblems.GivenTo.At("/to")],
        .. At is { } at && at <= now.AddMinutes(5) ? Array.Empty<EncounterProblem>() : [IntakeProblems.HandTime.At("/at")],
    ];

    /// <summary>The act in words, for the audit row.</summary>
    public string Words() => string.Create(CultureInfo.InvariantCulture, $"{Way} to {To}, {At!.Value.ToUniversalTime():yyyy-MM-dd'T'HH:mm:ss'Z'}, by {Person}");
}
