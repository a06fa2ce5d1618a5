namespace EarReferral.Delivery.Decisions;

/// <summary>What earlier attempts mean for the next one.</summary>
/// <param name="Attempts">How many ended.</param>
/// <param name="FirstAt">When the first began.</param>
/// <param name="Probe">Set when the receiver must be asked before anything is sent.</param>
/// <param name="UnprovenBefore">True when an earlier answer called it a success that a probe did not confirm.</param>
/// <param name="IntermediaryRun">How many of the last attempts in a row were answered by a proxy and not by the ENT system.</param>
internal sealed record AttemptHistory(int Attempts, DateTimeOffset? FirstAt, ProbeReason? Probe, bool UnprovenBefore, int IntermediaryRun)
{
    /// <summary>Reads it from the attempts that ended, oldest first, and the newest one that began.</summary>
    public static AttemptHistory Read(IReadOnlyList<(DateTimeOffset At, string Word)> ended, DateTimeOffset? lastBegun)
    {
        // An attempt that began and left no end behind: the process died while it was sending.
        var died = lastBegun is { } begun && ended.All(attempt => attempt.At < begun);
        var duplicate = ended.LastOrDefault(attempt => !OutcomeWords.IsOurOwn(attempt.Word)).Word == OutcomeWords.Word(RetryReason.DuplicateUnconfirmed);
        ProbeReason? probe = duplicate ? ProbeReason.ReportedDuplicate
            : died || (ended.Count > 0 && OutcomeWords.LeavesOpen(ended[^1].Word)) ? ProbeReason.EarlierAttemptOpen
            : null;
        return new AttemptHistory(
            ended.Count,
            ended.Count > 0 ? ended[0].At : null,
            probe,
            ended.Any(attempt => attempt.Word == OutcomeWords.Word(RetryReason.NotFoundByProbe)),
            ended.Reverse().TakeWhile(attempt => attempt.Word == OutcomeWords.Word(RetryReason.IntermediaryAnswered)).Count());
    }
}
