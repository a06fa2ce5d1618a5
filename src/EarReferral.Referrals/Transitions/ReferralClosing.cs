using EarReferral.Referrals.States;

namespace EarReferral.Referrals.Transitions;

/// <summary>Decides whether the clinic may close a referral, and what becomes of the shared Task.</summary>
public static class ReferralClosing
{
    /// <summary>The decision for a referral as it stands.</summary>
    /// <param name="current">Where it stands.</param>
    /// <param name="authoredOn"><c>Task.authoredOn</c>.</param>
    /// <param name="at">When the clinic closes it.</param>
    public static ClosingDecision Decide(ReferralState current, DateTimeOffset authoredOn, DateTimeOffset at)
    {
        switch (current.Execution)
        {
            case ExecutionStatus.Completed:
                return new ClosingDecision.AsItEnded(current with { Authorisation = AuthorisationStatus.Completed });
            case ExecutionStatus.Rejected or ExecutionStatus.Failed or ExecutionStatus.Cancelled:
                return new ClosingDecision.AsItEnded(current with { Authorisation = AuthorisationStatus.Revoked });
            case ExecutionStatus.EnteredInError:
                return new ClosingDecision.AsItEnded(current with { Authorisation = AuthorisationStatus.EnteredInError });
        }

        // A clinic's clock may run a little behind the instant of its own decision.
        var modified = at < authoredOn ? authoredOn : at;
        var cancellation = new ReferralUpdate(
            current.TaskIdentifier, Party.Placer, ExecutionStatus.Cancelled, BusinessStatus.CancelledByReferrer, null, current.HasOutput, authoredOn, new TaskVersion(null, modified));
        return ReferralLife.Apply(current, cancellation) is TransitionOutcome.Applied applied
            ? new ClosingDecision.Cancel(applied.State)
            : new ClosingDecision.WorkUnderWay();
    }
}
