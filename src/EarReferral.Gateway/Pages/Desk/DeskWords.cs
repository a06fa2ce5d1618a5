using System.Globalization;
using EarReferral.Referrals.Clocks;
using EarReferral.Storage.Referrals;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>A state in words, with a shape and a weight so that colour is never the only cue.</summary>
/// <param name="Words">What it is, in words.</param>
/// <param name="Shape">A character that stands beside it; decoration for who sees it.</param>
/// <param name="Weight"><c>act</c>: somebody here must act. <c>wait</c>: somebody else must. <c>good</c>: as it should be.</param>
internal sealed record StateWords(string Words, string Shape, string Weight);

/// <summary>Everything that the pages say about tiers, states, clocks and times; our own words.</summary>
internal static class DeskWords
{
    /// <summary>A tier in words.</summary>
    public static string Tier(string tier) => tier switch
    {
        "T0" => "Emergency, within 4 hours",
        "T1" => "Immediate, within 24 hours",
        "T2" => "Urgent, within 2 weeks",
        "T2C" => "Suspected cancer, within 2 weeks",
        "T3" => "Routine",
        _ => "No referral",
    };

    /// <summary>Where a referral stands.</summary>
    public static StateWords State(StoredReferral referral) => referral switch
    {
        { State: ReferralState.Held, Objection: ReferralObjection.Stands } => new("Held: the patient objects to sharing. A clinician decides.", "▲", "act"),
        { State: ReferralState.Held } => new("Held back, not sent. Release it when it may go.", "▲", "act"),
        { State: ReferralState.NeedsHuman } => new("Sending stopped. A person must act.", "▲", "act"),
        { State: ReferralState.WithdrawnAfterSending } => new("Taken back after sending. Tell the receiver by phone.", "▲", "act"),
        { State: ReferralState.Closed } => new("Closed", "■", "good"),
        { State: ReferralState.Withdrawn } => new("Taken back before anything was sent", "■", "good"),
        { ReplacedBy: not null } => new("Replaced by a later referral. Close this one when the new one is confirmed.", "▲", "act"),
        { State: ReferralState.Queued } => new("Not yet at the receiver", "○", "wait"),
        { BusinessStatus: "awaiting-information" } => new("The receiver asks for more. Answer.", "▲", "act"),
        { BusinessStatus: "cancel-requested" } => new("Asked to stop; waits for their answer", "◔", "wait"),
        { TaskStatus: "rejected" } => new("Returned by the receiver. Read why.", "▲", "act"),
        { TaskStatus: "failed" } => new("The receiver could not do it. Read why.", "▲", "act"),
        { TaskStatus: "cancelled" or "entered-in-error" } => new("Ended. Close it with a reason.", "▲", "act"),
        { TaskStatus: "completed" } => new("Done there. Read the outcome and close.", "▲", "act"),
        { BusinessStatus: "did-not-attend" } => new("Did not attend. Act.", "▲", "act"),
        { BusinessStatus: "visit-scheduled" or "visit-rescheduled" } => new("Appointment booked", "●", "good"),
        { BusinessStatus: "visit-complete" or "awaiting-report" or "preliminary-outcome" } => new("Seen; outcome awaited", "●", "good"),
        { TaskStatus: "in-progress" or "on-hold" } => new("In work at the receiver", "●", "good"),
        { TaskStatus: "accepted" } => new("Accepted, no appointment yet", "◕", "wait"),
        { TaskStatus: "received" } => new("Read there, not yet accepted", "◑", "wait"),
        _ => new("Stored at the receiver. Nobody there has answered.", "◔", "wait"),
    };

    /// <summary>A clock in words.</summary>
    public static string Clock(ReferralClock clock) => clock switch
    {
        ReferralClock.Deliver => "arrival at the receiver",
        ReferralClock.Acknowledge => "a first answer",
        ReferralClock.TriageOutcome => "a decision about it",
        ReferralClock.Appointment => "an appointment",
        ReferralClock.Outcome => "an outcome",
        ReferralClock.InformationReply => "our own answer to their question",
    };

    /// <summary>A line of the timeline in words.</summary>
    public static string Event(string kind) => kind switch
    {
        "queued" => "Decided and made ready to send",
        "delivered" => "Stored at the receiver",
        "task-updated" => "News from the receiver",
        "phone-taken" => "Telephoned; a clinician there took it",
        "phoned" => "Telephoned",
        "held" => "Held back",
        "released" => "Released",
        "resent" => "Sent again",
        "redirected" => "Sent elsewhere",
        "closed" => "Closed",
        "cancelled" => "Cancelled by the clinic",
        "replied" => "Their question answered",
        "needs-human" => "Sending stopped for a person",
        "correction-queued" => "A correction waits to be sent",
        "correction-delivered" => "The correction arrived",
        "correction-needs-human" => "The correction needs a person",
        "later-visit" => "The patient was seen again",
        "delivery-overdue" => "ALARM: not arrived in time",
        "acknowledgement-overdue" => "ALARM: nobody answered in time",
        "triage-outcome-overdue" => "ALARM: no decision in time",
        "appointment-overdue" => "ALARM: no appointment in time",
        "outcome-overdue" => "ALARM: no outcome in time",
        "information-reply-overdue" => "ALARM: their question is unanswered",
        _ => char.ToUpperInvariant(kind[0]) + kind[1..].Replace('-', ' '),
    };

    /// <summary>Time left or run over, in words.</summary>
    public static string Left(DateTimeOffset until, DateTimeOffset now) => until >= now ? $"{Span(until - now)} left" : $"overdue by {Span(now - until)}";

    /// <summary>A span in words, in its two largest units.</summary>
    public static string Span(TimeSpan span) => span switch
    {
        { TotalMinutes: < 1 } => "less than a minute",
        { TotalHours: < 1 } => Count((int)span.TotalMinutes, "minute"),
        { TotalDays: < 1 } => span.Minutes == 0 ? Count((int)span.TotalHours, "hour") : string.Create(CultureInfo.InvariantCulture, $"{(int)span.TotalHours} h {span.Minutes} min"),
        { TotalDays: < 3 } => string.Create(CultureInfo.InvariantCulture, $"{(int)span.TotalDays} d {span.Hours} h"),
        _ => Count((int)span.TotalDays, "day"),
    };

    /// <summary>An instant as the clinic's clock shows it, with its offset, so that the hour that comes twice in autumn stays clear.</summary>
    public static string At(DateTimeOffset instant, string zone)
    {
        var local = TimeZoneInfo.ConvertTime(instant, TimeZoneInfo.FindSystemTimeZoneById(zone));
        return local.ToString("ddd d MMM yyyy, HH:mm", CultureInfo.InvariantCulture) + (local.Offset == TimeSpan.Zero ? " UTC" : local.ToString(" 'UTC'zzz", CultureInfo.InvariantCulture));
    }

    private static string Count(int number, string unit) => string.Create(CultureInfo.InvariantCulture, $"{number} {unit}{(number == 1 ? string.Empty : "s")}");
}
