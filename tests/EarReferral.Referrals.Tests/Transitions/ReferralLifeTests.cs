using EarReferral.Referrals.States;
using EarReferral.Referrals.Transitions;

namespace EarReferral.Referrals.Tests.Transitions;

/// <summary>Test vectors L01 to L09 of the project's life cycle and what follows from the Clinical Order Workflows guide 1.0.</summary>
public sealed class ReferralLifeTests
{
    private const string TaskId = "5f0c2f0e-6a1e-4f39-9d1b-0d6f6f6d1c01";
    private static readonly DateTimeOffset Authored = new(2026, 3, 2, 10, 0, 0, TimeSpan.Zero);

    [Fact] // L01
    public void Received_arriving_after_accepted_is_kept_in_history_only()
    {
        var accepted = Apply(At(ExecutionStatus.Requested), From(ExecutionStatus.Accepted, BusinessStatus.Accepted, "2", minutes: 20));

        var late = ReferralLife.Apply(accepted.State, From(ExecutionStatus.Received, BusinessStatus.UnderTriage, "1", minutes: 10));

        Assert.Equal(ExecutionStatus.Accepted, accepted.State.Execution);
        Assert.IsType<TransitionOutcome.Late>(late);
    }

    [Fact] // L02; Clinical Order Workflows 1.0, "Cancelling and modifying"
    public void Placer_cancelling_work_in_progress_must_ask_by_abort_task()
    {
        var outcome = Assert.IsType<TransitionOutcome.AbortTaskNeeded>(
            ReferralLife.Apply(At(ExecutionStatus.InProgress), By(Party.Placer, ExecutionStatus.Cancelled)));

        Assert.Equal(ExecutionStatus.InProgress, outcome.State.Execution);
        Assert.Equal(BusinessStatus.CancelRequested, outcome.State.Business);
        Assert.Equal(AuthorisationStatus.Active, outcome.State.Authorisation);
    }

    [Fact]
    public void Filler_cancelling_after_an_abort_task_revokes_the_request()
    {
        var asked = Assert.IsType<TransitionOutcome.AbortTaskNeeded>(
            ReferralLife.Apply(At(ExecutionStatus.InProgress), By(Party.Placer, ExecutionStatus.Cancelled)));

        var outcome = Apply(asked.State, From(ExecutionStatus.Cancelled, BusinessStatus.CancelledByReferrer, "4", minutes: 60));

        Assert.Equal(AuthorisationStatus.Revoked, outcome.State.Authorisation);
        Assert.False(outcome.State.CancellationAsked);
        Assert.False(outcome.State.SafetyNetOpen);
    }

    [Fact]
    public void Filler_cancelling_work_that_nobody_asked_to_cancel_is_put_up_for_review()
    {
        var outcome = ReferralLife.Apply(At(ExecutionStatus.InProgress), From(ExecutionStatus.Cancelled, BusinessStatus.CancelledByReferrer, "4", minutes: 60));

        Assert.Equal(new TransitionOutcome.Illegal(ExecutionStatus.InProgress, ExecutionStatus.Cancelled, Party.Filler), outcome);
    }

    [Fact] // L03
    public void Rejection_without_reason_is_applied_and_the_safety_net_stays_open()
    {
        var outcome = Apply(At(ExecutionStatus.Requested), From(ExecutionStatus.Rejected, BusinessStatus.RejectedRedirect, "1", minutes: 10));

        Assert.Equal(ExecutionStatus.Rejected, outcome.State.Execution);
        Assert.Equal([ReviewFlag.ReasonMissing, ReviewFlag.NeedsNewPlan], outcome.Flags);
        Assert.True(outcome.State.SafetyNetOpen);
    }

    [Fact]
    public void Rejection_with_reason_still_needs_a_new_plan()
    {
        var update = From(ExecutionStatus.Rejected, BusinessStatus.RejectedRedirect, "1", minutes: 10) with { StatusReason = "Audiology first" };

        Assert.Equal([ReviewFlag.NeedsNewPlan], Apply(At(ExecutionStatus.Requested), update).Flags);
    }

    [Fact] // L04
    public void Completed_without_output_leaves_the_request_active_and_is_chased()
    {
        var outcome = Apply(At(ExecutionStatus.InProgress), From(ExecutionStatus.Completed, BusinessStatus.Completed, "9", minutes: 90));

        Assert.Equal(AuthorisationStatus.Active, outcome.State.Authorisation);
        Assert.Equal([ReviewFlag.CompletedWithoutOutcome], outcome.Flags);
        Assert.True(outcome.State.SafetyNetOpen);
    }

    [Fact]
    public void Report_that_follows_its_completed_task_closes_the_gap()
    {
        var completed = Apply(At(ExecutionStatus.InProgress), From(ExecutionStatus.Completed, BusinessStatus.Completed, "9", minutes: 90)).State;

        var outcome = Apply(completed, From(ExecutionStatus.Completed, BusinessStatus.Completed, "10", minutes: 120) with { HasOutput = true });

        Assert.True(outcome.State.HasOutput);
        Assert.Empty(outcome.Flags);
    }

    [Fact] // L05
    public void Work_taken_up_again_after_completion_reactivates_the_request_and_raises_an_alarm()
    {
        var closed = At(ExecutionStatus.Completed) with { Authorisation = AuthorisationStatus.Completed, HasOutput = true };

        var outcome = Apply(closed, From(ExecutionStatus.InProgress, BusinessStatus.AwaitingReport, "11", minutes: 200));

        Assert.Equal(AuthorisationStatus.Active, outcome.State.Authorisation);
        Assert.Equal([ReviewFlag.Reopened], outcome.Flags);
    }

    [Fact]
    public void Rejection_after_acceptance_raises_an_alarm()
    {
        var update = From(ExecutionStatus.Rejected, BusinessStatus.RejectedInappropriate, "3", minutes: 30) with { StatusReason = "Seen elsewhere" };

        Assert.Equal([ReviewFlag.RejectedAfterAcceptance, ReviewFlag.NeedsNewPlan], Apply(At(ExecutionStatus.Accepted), update).Flags);
    }

    [Fact] // L07
    public void Update_of_an_unknown_task_goes_to_quarantine()
    {
        var update = From(ExecutionStatus.Accepted, BusinessStatus.Accepted, "1", minutes: 1);

        Assert.IsType<TransitionOutcome.UnknownTask>(ReferralLife.Apply(null, update));
        Assert.IsType<TransitionOutcome.UnknownTask>(ReferralLife.Apply(At(ExecutionStatus.Requested), update with { TaskIdentifier = "another" }));
    }

    [Fact] // L08
    public void Same_notification_three_times_changes_the_state_once()
    {
        var update = From(ExecutionStatus.Accepted, BusinessStatus.Accepted, "2", minutes: 20);

        var first = Apply(At(ExecutionStatus.Received), update);

        Assert.IsType<TransitionOutcome.Repeated>(ReferralLife.Apply(first.State, update));
        Assert.IsType<TransitionOutcome.Repeated>(ReferralLife.Apply(first.State, update));
    }

    [Fact]
    public void Two_changes_in_the_same_second_without_version_ids_are_both_applied()
    {
        var received = Apply(At(ExecutionStatus.Requested), From(ExecutionStatus.Received, BusinessStatus.UnderTriage, null, minutes: 10));

        var accepted = Apply(received.State, From(ExecutionStatus.Accepted, BusinessStatus.Accepted, null, minutes: 10));

        Assert.Equal(ExecutionStatus.Accepted, accepted.State.Execution);
    }

    [Fact] // L09; FHIR R4 Task, invariant inv-1
    public void Modified_before_authored_is_invalid()
    {
        var update = From(ExecutionStatus.Received, BusinessStatus.UnderTriage, "1", minutes: -1);

        Assert.IsType<TransitionOutcome.InvalidTimes>(ReferralLife.Apply(At(ExecutionStatus.Requested), update));
    }

    [Fact]
    public void Skipped_states_are_named_when_work_begins_without_acceptance()
    {
        var outcome = Apply(At(ExecutionStatus.Requested), From(ExecutionStatus.InProgress, BusinessStatus.VisitScheduled, "1", minutes: 5));

        Assert.Equal([ExecutionStatus.Received, ExecutionStatus.Accepted], outcome.Skipped);
    }

    [Fact]
    public void Patient_who_did_not_attend_still_needs_a_plan()
    {
        var outcome = Apply(At(ExecutionStatus.InProgress), From(ExecutionStatus.InProgress, BusinessStatus.DidNotAttend, "7", minutes: 50));

        Assert.Equal([ReviewFlag.NeedsNewPlan], outcome.Flags);
    }

    [Theory]
    [InlineData(ExecutionStatus.Cancelled, AuthorisationStatus.Revoked)] // before work begins the clinic cancels by itself
    [InlineData(ExecutionStatus.EnteredInError, AuthorisationStatus.EnteredInError)] // wrong patient
    public void Clinic_taking_a_referral_back_stops_the_sending(ExecutionStatus status, AuthorisationStatus authorisation)
    {
        var outcome = Apply(At(ExecutionStatus.Requested), By(Party.Placer, status));

        Assert.Equal(authorisation, outcome.State.Authorisation);
        Assert.False(outcome.State.MayBeSent);
    }

    [Fact]
    public void Unknown_finer_state_is_flagged_and_the_coarse_state_applied()
    {
        var outcome = Apply(At(ExecutionStatus.Requested), From(ExecutionStatus.Received, null, "1", minutes: 5));

        Assert.Equal(ExecutionStatus.Received, outcome.State.Execution);
        Assert.Equal([ReviewFlag.BusinessStatusUnknown], outcome.Flags);
    }

    private static ReferralState At(ExecutionStatus status) =>
        new(TaskId, DeliveryState.Delivered, AuthorisationStatus.Active, status);

    private static ReferralUpdate From(ExecutionStatus status, BusinessStatus? business, string? version, int minutes) =>
        new(TaskId, Party.Filler, status, business, null, false, Authored, new TaskVersion(version, Authored.AddMinutes(minutes)));

    private static ReferralUpdate By(Party party, ExecutionStatus status) =>
        From(status, null, null, minutes: 1) with { By = party };

    private static TransitionOutcome.Applied Apply(ReferralState state, ReferralUpdate update) =>
        Assert.IsType<TransitionOutcome.Applied>(ReferralLife.Apply(state, update));
}
