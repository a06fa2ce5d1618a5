namespace EarReferral.Referrals.Transitions;

/// <summary>Who changes a Task.</summary>
public enum Party
{
    /// <summary>The clinic's side, which asked for the work.</summary>
    Placer,

    /// <summary>The ENT system, which does the work.</summary>
    Filler,
}
