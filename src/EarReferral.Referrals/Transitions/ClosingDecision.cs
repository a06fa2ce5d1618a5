using EarReferral.Referrals.States;

namespace EarReferral.Referrals.Transitions;

/// <summary>What closing by the clinic does to the shared Task.</summary>
public abstract record ClosingDecision
{
    /// <summary>Work has not begun: the clinic cancels it.</summary>
    /// <param name="State">The state afterwards.</param>
    public sealed record Cancel(ReferralState State) : ClosingDecision;

    /// <summary>The Task has ended and stays as it is.</summary>
    /// <param name="State">The state afterwards: only the authorisation differs.</param>
    public sealed record AsItEnded(ReferralState State) : ClosingDecision;

    /// <summary>Work is under way and only the ENT system can end it; the clinic must speak with it first.</summary>
    public sealed record WorkUnderWay : ClosingDecision;
}
