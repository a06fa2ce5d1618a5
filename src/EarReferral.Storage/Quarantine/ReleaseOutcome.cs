using EarReferral.Storage.Encounters;

namespace EarReferral.Storage.Quarantine;

/// <summary>What became of a release handed to the store.</summary>
public abstract record ReleaseOutcome
{
    private ReleaseOutcome()
    {
    }

    /// <summary>Stored now as a record.</summary>
    /// <param name="Referral">What became of its referral.</param>
    public sealed record Released(ReferralPlacement Referral) : ReleaseOutcome;

    /// <summary>This revision is not in quarantine: it was released before, corrected or retracted. Nothing changed.</summary>
    public sealed record NotQuarantined : ReleaseOutcome;
}
