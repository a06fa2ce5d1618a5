namespace EarReferral.Referrals.Transitions;

/// <summary>What is done with a change of <c>Task.status</c>.</summary>
public enum TransitionRule
{
    /// <summary>Legal, apply it.</summary>
    Apply,

    /// <summary>The status stays, only the finer state may change.</summary>
    SameStatus,

    /// <summary>Legal, but states were left out; apply it and log which.</summary>
    ApplyAndLogSkipped,

    /// <summary>Apply it and raise an alarm, because somebody relied on the earlier state.</summary>
    Alarm,

    /// <summary>Not by writing the status: ask by an abort Task and wait for the answer.</summary>
    ViaAbort,

    /// <summary>Record it, do not apply it, put it up for review.</summary>
    Illegal,
}
