using System.ComponentModel;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Intake;

namespace EarReferral.Gateway.Referrals;

/// <summary>A named person's wish about the sending of a referral.</summary>
internal record OperatorRequest
{
    /// <summary>Reasons to keep a referral back.</summary>
    public static readonly IReadOnlyList<string> HoldReasons = ["informationMissing", "patientUndecided", "receiverAsked", "wrongReceiver"];

    /// <summary>Reasons to send it elsewhere.</summary>
    public static readonly IReadOnlyList<string> RedirectReasons = ["returned", "noCapacity", "wrongReceiver", "receiverUnreachable"];

    [Description("Who asks, by name.")]
    public string? Person { get; init; }

    /// <summary>Everything that is wrong with it.</summary>
    public virtual IReadOnlyList<EncounterProblem> Problems() => AnswerByHand.Fits(Person, 200) ? [] : [IntakeProblems.OperatorPerson.At("/person")];
}

/// <summary>Keeps a referral back.</summary>
internal sealed record HoldRequest : OperatorRequest
{
    [Description("informationMissing, patientUndecided, receiverAsked or wrongReceiver.")]
    public string? Reason { get; init; }

    /// <inheritdoc />
    public override IReadOnlyList<EncounterProblem> Problems() =>
        [.. base.Problems(), .. Reason is not null && HoldReasons.Contains(Reason) ? Array.Empty<EncounterProblem>() : [IntakeProblems.HoldReason.At("/reason")]];
}

/// <summary>Sends a referral to another destination.</summary>
internal sealed record RedirectRequest : OperatorRequest
{
    [Description("returned, noCapacity, wrongReceiver or receiverUnreachable.")]
    public string? Reason { get; init; }

    [Description("Name of the destination in the configuration.")]
    public string? Destination { get; init; }

    [Description("Whom at the first receiver the person told, by name or post; required when it has the referral or may have it and has not returned it.")]
    public string? Told { get; init; }

    /// <inheritdoc />
    public override IReadOnlyList<EncounterProblem> Problems() =>
    [
        .. base.Problems(),
        .. Reason is not null && RedirectReasons.Contains(Reason) ? Array.Empty<EncounterProblem>() : [IntakeProblems.RedirectReason.At("/reason")],
        .. AnswerByHand.Fits(Destination, 200) ? Array.Empty<EncounterProblem>() : [IntakeProblems.RedirectDestination.At("/destination")],
        .. Told is null || AnswerByHand.Fits(Told, 200) ? Array.Empty<EncounterProblem>() : [IntakeProblems.OperatorTold.At("/told")],
    ];
}

/// <summary>Sends a referral although the patient objects.</summary>
internal sealed record ObjectionDecision : OperatorRequest
{
    /// <summary>Roles that may decide it.</summary>
    public static readonly IReadOnlyList<string> Roles = ["clinician", "clinicalLead"];

    [Description("clinician or clinicalLead.")]
    public string? Role { get; init; }

    [Description("Why, in the person's own words, without naming the patient; kept in the timeline and the audit trail.")]
    public string? Text { get; init; }

    [Description("Whom they phoned about it, by name or post.")]
    public string? Told { get; init; }

    /// <inheritdoc />
    public override IReadOnlyList<EncounterProblem> Problems() =>
    [
        .. base.Problems(),
        .. Role is not null && Roles.Contains(Role) ? Array.Empty<EncounterProblem>() : [IntakeProblems.ObjectionRole.At("/role")],
        .. AnswerByHand.Fits(Text, 2000) ? Array.Empty<EncounterProblem>() : [IntakeProblems.ObjectionText.At("/text")],
        .. AnswerByHand.Fits(Told, 200) ? Array.Empty<EncounterProblem>() : [IntakeProblems.ObjectionTold.At("/told")],
    ];
}
