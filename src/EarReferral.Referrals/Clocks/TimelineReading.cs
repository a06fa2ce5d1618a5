using EarReferral.Referrals.States;

namespace EarReferral.Referrals.Clocks;

/// <summary>Reads from what the ENT system reported when the things happened that start and stop clocks.</summary>
/// <remarks>
/// Where reports leave a gap, the reading that lets a clock go on is taken. A visit that was cancelled or not attended is no visit:
/// the clock of the appointment runs again. Work that the ENT system has ended stops the clocks of what will not come any more; that
/// the patient still needs somebody is another matter, which only the clinic's closing settles.
/// </remarks>
public static class TimelineReading
{
    /// <summary>The instants of one referral.</summary>
    /// <param name="decidedAt">Instant of the clinical decision that stands.</param>
    /// <param name="deliveredAt">Verified delivery; null while there is no proof.</param>
    /// <param name="reports">Everything the ENT system reported, oldest first.</param>
    /// <param name="hasOutput">True when the Task as it stands carries a letter, report or other outcome.</param>
    /// <param name="due">Instant by which the patient must be seen; stands in for the date of a booked visit, which no report carries.</param>
    /// <param name="replies">When the clinic answered questions of the ENT system, oldest first.</param>
    public static ReferralTimeline Read(
        DateTimeOffset decidedAt, DateTimeOffset? deliveredAt, IReadOnlyList<ReceiverReport> reports, bool hasOutput, DateTimeOffset? due, IReadOnlyList<DateTimeOffset>? replies = null)
    {
        var answered = reports.Where(report => report.Status is not (ExecutionStatus.Draft or ExecutionStatus.Requested)).ToList();
        var last = answered.LastOrDefault();
        DateTimeOffset? returned = last is { Status: ExecutionStatus.Rejected or ExecutionStatus.Failed or ExecutionStatus.Cancelled or ExecutionStatus.EnteredInError } ? last.At : null;
        var sinceLostVisit = answered.Skip(answered.FindLastIndex(report => report.Business is BusinessStatus.VisitCancelled or BusinessStatus.DidNotAttend) + 1).ToList();
        var booked = sinceLostVisit.Find(IsBooked)?.At;
        var seen = sinceLostVisit.Find(IsSeen)?.At;
        var (question, goneOn) = Question(answered);
        DateTimeOffset? replied = replies?.Where(at => at >= question).Select(at => (DateTimeOffset?)at).FirstOrDefault();
        var reply = replied < goneOn || goneOn is null ? replied ?? goneOn : goneOn;
        return new ReferralTimeline(
            decidedAt,
            // Whoever reports on it has it, whether or not an answer ever proved the delivery.
            deliveredAt ?? answered.FirstOrDefault()?.At,
            answered.FirstOrDefault()?.At,
            answered.Find(IsTriaged)?.At,
            answered.Find(report => report.Status is ExecutionStatus.Accepted or ExecutionStatus.InProgress or ExecutionStatus.Completed)?.At,
            booked ?? returned,
            seen ?? (booked is null ? null : due),
            last is { Status: ExecutionStatus.Completed } && hasOutput ? last.At : returned,
            question,
            reply ?? (question is null ? null : returned));
    }

    private static bool IsTriaged(ReceiverReport report) => report.Business is BusinessStatus.AwaitingInformation
        || report.Status is not (ExecutionStatus.Received or ExecutionStatus.Ready or ExecutionStatus.OnHold);

    private static bool IsBooked(ReceiverReport report) =>
        report.Business is BusinessStatus.VisitScheduled or BusinessStatus.VisitRescheduled || IsSeen(report);

    private static bool IsSeen(ReceiverReport report) => report.Status is ExecutionStatus.Completed
        || report.Business is BusinessStatus.VisitComplete or BusinessStatus.AwaitingReport or BusinessStatus.PreliminaryOutcome or BusinessStatus.Completed;

    /// <summary>When the newest question was put, and when the ENT system went on, which it does once it has its answer.</summary>
    private static (DateTimeOffset? Question, DateTimeOffset? Reply) Question(List<ReceiverReport> answered)
    {
        var end = answered.FindLastIndex(report => report.Business is BusinessStatus.AwaitingInformation);
        if (end < 0)
        {
            return (null, null);
        }

        var start = end;
        while (start > 0 && answered[start - 1].Business is BusinessStatus.AwaitingInformation)
        {
            start--;
        }

        return (answered[start].At, end + 1 < answered.Count ? answered[end + 1].At : null);
    }
}
