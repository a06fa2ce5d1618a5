using System.ComponentModel;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Intake;

namespace EarReferral.Gateway.Referrals;

/// <summary>Closes a referral: who, in which role, why, and whom they told.</summary>
internal sealed record Closure
{
    /// <summary>The reasons that exist, as they are written.</summary>
    public static readonly IReadOnlyList<string> Reasons =
        ["outcomeRead", "referredElsewhere", "treatedElsewhere", "patientDeclined", "patientDied", "notNeeded", "enteredInError"];

    [Description("Who closes it, by name.")]
    public string? Person { get; init; }

    [Description("In which role, such as audiologist.")]
    public string? Role { get; init; }

    [Description("outcomeRead: the outcome has been read and acted on. referredElsewhere: another referral takes its place. treatedElsewhere: the patient was seen by somebody else. patientDeclined: the patient does not want it, knowing what that may mean. patientDied. notNeeded: seen again, and no referral is needed. enteredInError: it should never have been made.")]
    public string? Reason { get; init; }

    [Description("Why, in the person's own words; kept with the request.")]
    public string? Text { get; init; }

    [Description("Whom at the receiver the person told, by name or post. Required when the receiver has it or may have it, unless the receiver itself has ended the work: no receiver is told electronically.")]
    public string? Told { get; init; }

    /// <summary>Everything that is wrong with it.</summary>
    public IReadOnlyList<EncounterProblem> Problems() =>
    [
        .. Fits(Person, 200) ? Array.Empty<EncounterProblem>() : [IntakeProblems.ClosurePerson.At("/person")],
        .. Fits(Role, 200) ? Array.Empty<EncounterProblem>() : [IntakeProblems.ClosureRole.At("/role")],
        .. Reason is not null && Reasons.Contains(Reason) ? Array.Empty<EncounterProblem>() : [IntakeProblems.ClosureReason.At("/reason")],
        .. Fits(Text, 2000) ? Array.Empty<EncounterProblem>() : [IntakeProblems.ClosureText.At("/text")],
        .. Told is null || Fits(Told, 200) ? Array.Empty<EncounterProblem>() : [IntakeProblems.ClosureTold.At("/told")],
    ];

    private static bool Fits(string? text, int longest) => !string.IsNullOrWhiteSpace(text) && text.Length <= longest;
}
