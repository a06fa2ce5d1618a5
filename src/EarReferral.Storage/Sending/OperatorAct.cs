namespace EarReferral.Storage.Sending;

/// <summary>What a named person does to the sending of a referral.</summary>
/// <param name="Person">Who, by name.</param>
/// <param name="Reason">Code of the reason; null where none is asked for.</param>
/// <param name="Told">Whom at the receiver they told; null when nobody had to be told.</param>
/// <param name="At">When.</param>
/// <param name="Actor">Caller that brought it.</param>
/// <param name="RequestId">Id of the request.</param>
public sealed record OperatorAct(string Person, string? Reason, string? Told, DateTimeOffset At, string Actor, string RequestId)
{
    /// <summary>The act as the timeline and the audit say it: who, why by code, whom they told.</summary>
    internal string Words => $"{(Reason is null ? "" : $"{Reason}: ")}by {Person}.{(Told is null ? "" : $" Told: {Told}.")}";
}

/// <summary>What became of an act.</summary>
public enum OperatorOutcome
{
    /// <summary>Done, with a line in the timeline and an audit row.</summary>
    Done,

    /// <summary>The referral is not where the act can be done.</summary>
    WrongState,

    /// <summary>An attempt to send it is under way.</summary>
    AttemptUnderWay,

    /// <summary>A receiver has it or may have it, and nobody is named who was told.</summary>
    NobodyTold,

    /// <summary>The patient objects to this receiver getting it, and no clinician has decided otherwise.</summary>
    PatientObjects,

    /// <summary>No such referral within reach.</summary>
    NotFound,
}
