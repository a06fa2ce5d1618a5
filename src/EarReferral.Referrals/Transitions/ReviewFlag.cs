namespace EarReferral.Referrals.Transitions;

/// <summary>Why an applied change must still be looked at by a person.</summary>
public enum ReviewFlag
{
    /// <summary>Rejected or failed without a reason.</summary>
    ReasonMissing,

    /// <summary>Rejected, failed, cancelled or not attended: the patient still needs somebody.</summary>
    NeedsNewPlan,

    /// <summary>Completed, but no letter, report or other outcome came with it.</summary>
    CompletedWithoutOutcome,

    /// <summary>Work was taken up again after its end.</summary>
    Reopened,

    /// <summary>Rejected after it had been accepted.</summary>
    RejectedAfterAcceptance,

    /// <summary>The finer state is missing or not one of ours; the coarse state was applied.</summary>
    BusinessStatusUnknown,
}
