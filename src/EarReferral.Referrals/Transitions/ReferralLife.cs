using EarReferral.Referrals.States;

namespace EarReferral.Referrals.Transitions;

/// <summary>Applies news about the shared Task to a referral.</summary>
public static class ReferralLife
{
    /// <summary>Decides what an update does; <paramref name="current"/> is null when no referral has this Task.</summary>
    public static TransitionOutcome Apply(ReferralState? current, ReferralUpdate update)
    {
        if (current is null || !string.Equals(current.TaskIdentifier, update.TaskIdentifier, StringComparison.Ordinal))
        {
            return new TransitionOutcome.UnknownTask();
        }

        if (update.Version.LastModified < update.AuthoredOn)
        {
            return new TransitionOutcome.InvalidTimes();
        }

        // Only the filler's versions are numbered on its server; our own writes carry no rank among them.
        if (update.By is Party.Filler && current.Version is { } known)
        {
            var age = update.Version.CompareAge(known);
            if (age < 0)
            {
                return new TransitionOutcome.Late();
            }

            if (age == 0 && SaysNothingNew(current, known, update))
            {
                return new TransitionOutcome.Repeated();
            }
        }

        return TaskTransitions.Rule(current.Execution, update.Status, update.By) switch
        {
            TransitionRule.Apply or TransitionRule.SameStatus => Applied(current, update, [], null),
            TransitionRule.ApplyAndLogSkipped => Applied(current, update, TaskTransitions.Skipped(current.Execution, update.Status), null),
            TransitionRule.Alarm => Applied(current, update, [], update.Status is ExecutionStatus.Rejected ? ReviewFlag.RejectedAfterAcceptance : ReviewFlag.Reopened),
            TransitionRule.ViaAbort => ByAbort(current, update),
            TransitionRule.Illegal => new TransitionOutcome.Illegal(current.Execution, update.Status, update.By),
        };
    }

    // Two changes within one clock tick of a server without version ids look equally old; then the content decides.
    private static bool SaysNothingNew(ReferralState current, TaskVersion known, ReferralUpdate update) =>
        (known.VersionId is not null && string.Equals(known.VersionId, update.Version.VersionId, StringComparison.Ordinal))
        || (current.Execution == update.Status && current.Business == update.Business && current.HasOutput == update.HasOutput);

    private static TransitionOutcome ByAbort(ReferralState current, ReferralUpdate update) => update.By switch
    {
        Party.Placer => new TransitionOutcome.AbortTaskNeeded(current with { CancellationAsked = true, Business = BusinessStatus.CancelRequested }),
        Party.Filler when current.CancellationAsked => Applied(current, update, [], null),
        Party.Filler => new TransitionOutcome.Illegal(current.Execution, update.Status, update.By),
    };

    private static TransitionOutcome.Applied Applied(ReferralState current, ReferralUpdate update, IReadOnlyList<ExecutionStatus> skipped, ReviewFlag? alarm)
    {
        var next = current with
        {
            Execution = update.Status,
            Business = update.Business ?? (current.Execution == update.Status ? current.Business : null),
            Version = update.By is Party.Filler ? update.Version : current.Version,
            HasOutput = update.HasOutput,
            Authorisation = Authorisation(current, update),
            CancellationAsked = current.CancellationAsked && update.Status is not (ExecutionStatus.Cancelled or ExecutionStatus.Completed or ExecutionStatus.Failed),
        };
        return new TransitionOutcome.Applied(next, skipped, [.. alarm is { } raised ? [raised] : Array.Empty<ReviewFlag>(), .. Flags(next, update)]);
    }

    // The ServiceRequest is the clinic's: the filler's word never completes or revokes it, it only wakes a closed one up again.
    private static AuthorisationStatus Authorisation(ReferralState current, ReferralUpdate update) => (update.By, update.Status) switch
    {
        (Party.Placer, ExecutionStatus.Requested) => AuthorisationStatus.Active,
        (Party.Placer, ExecutionStatus.Cancelled) => AuthorisationStatus.Revoked,
        (Party.Placer, ExecutionStatus.EnteredInError) => AuthorisationStatus.EnteredInError,
        (Party.Filler, ExecutionStatus.Cancelled) when current.CancellationAsked => AuthorisationStatus.Revoked,
        (Party.Filler, ExecutionStatus.InProgress) when current.Authorisation is AuthorisationStatus.Completed => AuthorisationStatus.Active,
        _ => current.Authorisation,
    };

    private static IEnumerable<ReviewFlag> Flags(ReferralState next, ReferralUpdate update)
    {
        if (update.By is Party.Placer)
        {
            yield break;
        }

        if (next.Execution is ExecutionStatus.Rejected or ExecutionStatus.Failed && string.IsNullOrWhiteSpace(update.StatusReason))
        {
            yield return ReviewFlag.ReasonMissing;
        }

        if (next.SafetyNetOpen && (next.Execution is ExecutionStatus.Rejected or ExecutionStatus.Failed or ExecutionStatus.Cancelled
            || next.Business is BusinessStatus.DidNotAttend or BusinessStatus.VisitCancelled))
        {
            yield return ReviewFlag.NeedsNewPlan;
        }

        if (next is { Execution: ExecutionStatus.Completed, HasOutput: false })
        {
            yield return ReviewFlag.CompletedWithoutOutcome;
        }

        if (update.Business is null)
        {
            yield return ReviewFlag.BusinessStatusUnknown;
        }
    }
}
