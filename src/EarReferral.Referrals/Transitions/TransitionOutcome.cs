using EarReferral.Referrals.States;

namespace EarReferral.Referrals.Transitions;

/// <summary>What becomes of an update. The receipt itself is recorded whatever the outcome.</summary>
public abstract record TransitionOutcome
{
    /// <summary>The state changed.</summary>
    /// <param name="State">The new state.</param>
    /// <param name="Skipped">States that the ENT system left out.</param>
    /// <param name="Flags">What a person must look at; empty when all is well.</param>
    public sealed record Applied(ReferralState State, IReadOnlyList<ExecutionStatus> Skipped, IReadOnlyList<ReviewFlag> Flags) : TransitionOutcome;

    /// <summary>This very version was applied before; only the receipt is recorded.</summary>
    public sealed record Repeated : TransitionOutcome;

    /// <summary>A newer version was applied before; it goes into the history and changes nothing.</summary>
    public sealed record Late : TransitionOutcome;

    /// <summary>Our side may not write this status; it must ask by an abort Task.</summary>
    /// <param name="State">The state with the cancellation marked as asked.</param>
    public sealed record AbortTaskNeeded(ReferralState State) : TransitionOutcome;

    /// <summary>Not a legal change: not applied, put up for review.</summary>
    /// <param name="From">State held.</param>
    /// <param name="To">State asked for.</param>
    /// <param name="By">Who asked.</param>
    public sealed record Illegal(ExecutionStatus From, ExecutionStatus To, Party By) : TransitionOutcome;

    /// <summary>No referral has this Task: answered as not found and kept in quarantine.</summary>
    public sealed record UnknownTask : TransitionOutcome;

    /// <summary>The Task breaks FHIR R4 invariant inv-1: last modified before it was authored.</summary>
    public sealed record InvalidTimes : TransitionOutcome;
}
