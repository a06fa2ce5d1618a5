using EarReferral.Referrals.States;
using EarReferral.Referrals.Transitions;

namespace EarReferral.Referrals.Tests.Transitions;

public sealed class TaskTransitionsTests
{
    private static readonly ExecutionStatus[] Ended =
        [ExecutionStatus.Rejected, ExecutionStatus.Completed, ExecutionStatus.Failed, ExecutionStatus.Cancelled];

    public static TheoryData<ExecutionStatus, ExecutionStatus, Party, TransitionRule, string> Rules => new()
    {
        { ExecutionStatus.Draft, ExecutionStatus.Requested, Party.Placer, TransitionRule.Apply, "the clinic releases its request" },
        { ExecutionStatus.Draft, ExecutionStatus.Requested, Party.Filler, TransitionRule.Illegal, "nobody else releases it" },
        { ExecutionStatus.Requested, ExecutionStatus.Received, Party.Filler, TransitionRule.Apply, "R4 Task: requested, then received" },
        { ExecutionStatus.Requested, ExecutionStatus.Accepted, Party.Filler, TransitionRule.Apply, "R4 Task: requested, then accepted" },
        { ExecutionStatus.Requested, ExecutionStatus.Rejected, Party.Filler, TransitionRule.Apply, "R4 Task: requested, then rejected" },
        { ExecutionStatus.Requested, ExecutionStatus.Accepted, Party.Placer, TransitionRule.Illegal, "the clinic cannot accept its own referral" },
        { ExecutionStatus.Requested, ExecutionStatus.InProgress, Party.Filler, TransitionRule.ApplyAndLogSkipped, "work without acceptance happens" },
        { ExecutionStatus.Requested, ExecutionStatus.Completed, Party.Filler, TransitionRule.Illegal, "done without ever having begun" },
        { ExecutionStatus.Received, ExecutionStatus.Requested, Party.Filler, TransitionRule.Illegal, "received is not taken back" },
        { ExecutionStatus.Received, ExecutionStatus.OnHold, Party.Filler, TransitionRule.Apply, "R4 Task: suspended" },
        { ExecutionStatus.Accepted, ExecutionStatus.Rejected, Party.Filler, TransitionRule.Alarm, "the clinic relied on the acceptance" },
        { ExecutionStatus.Accepted, ExecutionStatus.Completed, Party.Filler, TransitionRule.ApplyAndLogSkipped, "in-progress was skipped" },
        { ExecutionStatus.Accepted, ExecutionStatus.Cancelled, Party.Placer, TransitionRule.Apply, "COW 1.0: allowed until in-progress" },
        { ExecutionStatus.InProgress, ExecutionStatus.Cancelled, Party.Placer, TransitionRule.ViaAbort, "COW 1.0: not once in-progress" },
        { ExecutionStatus.OnHold, ExecutionStatus.Cancelled, Party.Placer, TransitionRule.ViaAbort, "work had begun" },
        { ExecutionStatus.OnHold, ExecutionStatus.InProgress, Party.Filler, TransitionRule.Apply, "R4 Task: resumed" },
        { ExecutionStatus.OnHold, ExecutionStatus.Completed, Party.Filler, TransitionRule.Illegal, "resume first" },
        { ExecutionStatus.Completed, ExecutionStatus.Completed, Party.Filler, TransitionRule.SameStatus, "the letter may follow" },
    };

    [Theory]
    [MemberData(nameof(Rules))]
    public void Change_follows_its_row_of_the_table(ExecutionStatus from, ExecutionStatus to, Party by, TransitionRule rule, string reason) =>
        Assert.True(rule == TaskTransitions.Rule(from, to, by), reason);

    [Fact]
    public void Ended_work_can_only_be_reopened_with_alarm_or_marked_as_error()
    {
        foreach (var from in Ended)
        {
            foreach (var to in Enum.GetValues<ExecutionStatus>().Where(to => to != from))
            {
                var expected = to is ExecutionStatus.InProgress ? TransitionRule.Alarm : TransitionRule.Illegal;
                Assert.Equal(expected, TaskTransitions.Rule(from, to, Party.Filler));
            }
        }
    }

    [Fact]
    public void Entered_in_error_is_open_to_the_clinic_from_everywhere_and_to_nobody_else()
    {
        foreach (var from in Enum.GetValues<ExecutionStatus>().Where(from => from is not ExecutionStatus.EnteredInError))
        {
            Assert.Equal(TransitionRule.Apply, TaskTransitions.Rule(from, ExecutionStatus.EnteredInError, Party.Placer));
            Assert.Equal(TransitionRule.Illegal, TaskTransitions.Rule(from, ExecutionStatus.EnteredInError, Party.Filler));
        }
    }

    [Fact]
    public void Every_pair_of_states_has_a_rule_for_both_parties()
    {
        foreach (var from in Enum.GetValues<ExecutionStatus>())
        {
            foreach (var to in Enum.GetValues<ExecutionStatus>())
            {
                // Would throw on a missing row or a row that is too short.
                Assert.True(Enum.IsDefined(TaskTransitions.Rule(from, to, Party.Placer)));
                Assert.True(Enum.IsDefined(TaskTransitions.Rule(from, to, Party.Filler)));
            }
        }
    }

    [Theory]
    [InlineData(ExecutionStatus.Requested, ExecutionStatus.InProgress, 2)]
    [InlineData(ExecutionStatus.Received, ExecutionStatus.InProgress, 1)]
    [InlineData(ExecutionStatus.Received, ExecutionStatus.Accepted, 0)] // neighbours
    [InlineData(ExecutionStatus.InProgress, ExecutionStatus.Received, 0)] // backwards skips nothing
    [InlineData(ExecutionStatus.OnHold, ExecutionStatus.Completed, 0)] // off the usual path
    public void Skipped_states_lie_between_on_the_usual_path(ExecutionStatus from, ExecutionStatus to, int count) =>
        Assert.Equal(count, TaskTransitions.Skipped(from, to).Count);
}
