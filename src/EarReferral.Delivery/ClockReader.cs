using System.Text.Json;
using EarReferral.Referrals.Calendars;
using EarReferral.Referrals.Clocks;
using EarReferral.Referrals.States;
using EarReferral.Storage;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Resources;
using ReferralState = EarReferral.Storage.Referrals.ReferralState;

namespace EarReferral.Delivery;

/// <summary>Reads the six clocks of a stored referral from its timeline; keeps nothing, so a restart changes nothing.</summary>
public sealed class ClockReader(ReferralStore referrals, ResourceStore resources, WorkingCalendar calendar)
{
    /// <summary>Timeline word of a telephone call in which a clinician of the receiver took the referral.</summary>
    public const string CallTaken = "phone-taken";

    /// <summary>Timeline word of the clinic's answer to a question of the receiver.</summary>
    public const string Replied = "replied";

    private static readonly Reach Everywhere = new Reach.Everything("delivery");

    /// <summary>Word of the alarm of a clock, in the timeline and wherever somebody is told of it.</summary>
    public static string AlarmKind(ReferralClock expired) => expired switch
    {
        ReferralClock.Deliver => "delivery-overdue",
        ReferralClock.Acknowledge => "acknowledgement-overdue",
        ReferralClock.TriageOutcome => "triage-outcome-overdue",
        ReferralClock.Appointment => "appointment-overdue",
        ReferralClock.Outcome => "outcome-overdue",
        ReferralClock.InformationReply => "information-reply-overdue",
    };

    /// <summary>True while somebody waits for the referral. A closed or withdrawn one has no clocks.</summary>
    public static bool IsRunning(StoredReferral referral) => referral.State switch
    {
        ReferralState.Held or ReferralState.Queued or ReferralState.Delivered or ReferralState.NeedsHuman => true,
        // Whom the receiver must be told by stands on the list of what waits for a person; no clock of the ENT system runs.
        ReferralState.Withdrawn or ReferralState.WithdrawnAfterSending or ReferralState.Closed => false,
    };

    /// <summary>When somebody took the referral as it stands by telephone; null when nobody did, or it was corrected afterwards.</summary>
    public static DateTimeOffset? TakenByPhone(IReadOnlyList<ReferralEvent> timeline) => timeline
        .Skip(timeline.Select((entry, index) => (entry, index)).LastOrDefault(each => each.entry.Kind == "redirected" || each.entry.Kind.StartsWith("correct", StringComparison.Ordinal)).index)
        .FirstOrDefault(entry => entry.Kind == CallTaken)?.At;

    /// <summary>The urgency that sets the limits. An unreadable tier is the most urgent, never the least.</summary>
    public static ReferralUrgency Urgency(string tier) => UrgencyTiers.Read(tier) ?? ReferralUrgency.Emergency;

    /// <summary>The clocks at an instant, in the order of the journey; empty when none runs any more.</summary>
    public async Task<IReadOnlyList<ClockReading>> ReadAsync(StoredReferral referral, DateTimeOffset now, CancellationToken cancellationToken)
    {
        if (!IsRunning(referral))
        {
            return [];
        }

        if (referral is { TaskStatus: "cancelled", BusinessStatus: "cancelled-by-referrer" })
        {
            // The clinic waits for nothing more from the receiver; what is left to do has a clock of its own on the list of open matters.
            return [];
        }

        return await AsTheyStandAsync(referral, now, cancellationToken);
    }

    /// <summary>The clocks at an instant, also of a referral that nobody waits for any more; for figures, which look back.</summary>
    public async Task<IReadOnlyList<ClockReading>> AsTheyStandAsync(StoredReferral referral, DateTimeOffset now, CancellationToken cancellationToken)
    {
        var events = SinceRedirect(await referrals.TimelineAsync(Everywhere, referral.ReferralId, cancellationToken));
        var reports = events
            .Where(entry => entry.Kind == "task-updated")
            .Select(entry => entry.TaskStatus is { } code && StateCodes.Execution(code) is { } status
                ? new ReceiverReport(entry.At, status, entry.BusinessStatus is { } business ? StateCodes.Business(business) : null)
                : null)
            .OfType<ReceiverReport>()
            .ToList();
        var hasOutput = reports is [.., { Status: ExecutionStatus.Completed }] && await HasOutputAsync(referral.TaskId, cancellationToken);
        var timeline = TimelineReading.Read(
            referral.EvaluatedAt, Earlier(events.FirstOrDefault(entry => entry.Kind == "delivered")?.At, TakenByPhone(events)), reports, hasOutput, referral.Due, [.. events.Where(entry => entry.Kind == Replied).Select(entry => entry.At)]);
        return ReferralClocks.At(timeline, Urgency(referral.Tier), ClockLimits.Default, calendar, now);
    }

    /// <summary>What an earlier receiver did says nothing about the one that has it now.</summary>
    private static IReadOnlyList<ReferralEvent> SinceRedirect(IReadOnlyList<ReferralEvent> timeline) =>
        [.. timeline.Skip(timeline.Select((entry, index) => (entry, index)).LastOrDefault(each => each.entry.Kind == "redirected").index)];

    private static DateTimeOffset? Earlier(DateTimeOffset? one, DateTimeOffset? other) => one is null || other < one ? other : one;

    private async Task<bool> HasOutputAsync(string taskId, CancellationToken cancellationToken)
    {
        if (await resources.ReadAsync(Everywhere, "Task", taskId, cancellationToken) is not { } task)
        {
            return false;
        }

        using var document = JsonDocument.Parse(task.Json);
        return document.RootElement.TryGetProperty("output", out var output) && output.GetArrayLength() > 0;
    }
}
