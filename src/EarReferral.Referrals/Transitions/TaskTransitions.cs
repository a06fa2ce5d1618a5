using EarReferral.Referrals.States;

namespace EarReferral.Referrals.Transitions;

/// <summary>Which change of <c>Task.status</c> is legal for whom: one table.</summary>
/// <remarks>
/// The FHIR R4 Task page (section "Task state machine") calls its diagram typical and leaves the choice to the workflow. The
/// Clinical Order Workflows guide 1.0 forbids the placer to cancel directly what is in progress. The rest is our own choice.
/// </remarks>
public static class TaskTransitions
{
    private static readonly ExecutionStatus[] Columns =
    [
        ExecutionStatus.Requested, ExecutionStatus.Received, ExecutionStatus.Accepted, ExecutionStatus.Rejected, ExecutionStatus.InProgress,
        ExecutionStatus.OnHold, ExecutionStatus.Completed, ExecutionStatus.Failed, ExecutionStatus.Cancelled, ExecutionStatus.EnteredInError,
    ];

    // P placer, F filler, F+ filler having skipped states, F! filler with alarm, A placer by abort Task, - nobody.
    private static readonly Dictionary<ExecutionStatus, string> Rows = new()
    {
        //                              requested received accepted rejected in-progress on-hold completed failed cancelled error
        [ExecutionStatus.Draft] = /*     */ "P    -    -    -    -    -    -    -    P    P",
        [ExecutionStatus.Requested] = /* */ "-    F    F    F    F+   -    -    -    P    P",
        [ExecutionStatus.Received] = /*  */ "-    -    F    F    F+   F    -    -    P    P",
        [ExecutionStatus.Accepted] = /*  */ "-    -    -    F!   F    F    F+   F    P    P",
        [ExecutionStatus.InProgress] = /**/ "-    -    -    -    -    F    F    F    A    P",
        [ExecutionStatus.OnHold] = /*    */ "-    F    F    F    F    -    -    F    A    P",
        [ExecutionStatus.Rejected] = /*  */ "-    -    -    -    F!   -    -    -    -    P",
        [ExecutionStatus.Completed] = /* */ "-    -    -    -    F!   -    -    -    -    P",
        [ExecutionStatus.Failed] = /*    */ "-    -    -    -    F!   -    -    -    -    P",
        [ExecutionStatus.Cancelled] = /* */ "-    -    -    -    F!   -    -    -    -    P",
        [ExecutionStatus.Ready] = /*     */ "-    -    -    -    -    -    -    -    -    P",
        [ExecutionStatus.EnteredInError] = "-    -    -    -    -    -    -    -    -    -",
    };

    private static readonly ExecutionStatus[] UsualPath =
        [ExecutionStatus.Requested, ExecutionStatus.Received, ExecutionStatus.Accepted, ExecutionStatus.InProgress, ExecutionStatus.Completed];

    /// <summary>The rule for one change. The same status again is always allowed: a report may follow its completed Task.</summary>
    public static TransitionRule Rule(ExecutionStatus from, ExecutionStatus to, Party by)
    {
        if (from == to)
        {
            return TransitionRule.SameStatus;
        }

        var column = Array.IndexOf(Columns, to);
        return column < 0 ? TransitionRule.Illegal : Read(Rows[from].Split(' ', StringSplitOptions.RemoveEmptyEntries)[column], by);
    }

    /// <summary>States of the usual path that lie strictly between two states.</summary>
    public static IReadOnlyList<ExecutionStatus> Skipped(ExecutionStatus from, ExecutionStatus to)
    {
        var start = Array.IndexOf(UsualPath, from);
        var end = Array.IndexOf(UsualPath, to);
        return start < 0 || end <= start + 1 ? [] : UsualPath[(start + 1)..end];
    }

    private static TransitionRule Read(string cell, Party by) => (cell, by) switch
    {
        ("P", Party.Placer) => TransitionRule.Apply,
        ("F", Party.Filler) => TransitionRule.Apply,
        ("F+", Party.Filler) => TransitionRule.ApplyAndLogSkipped,
        ("F!", Party.Filler) => TransitionRule.Alarm,
        ("A", _) => TransitionRule.ViaAbort,
        _ => TransitionRule.Illegal,
    };
}
