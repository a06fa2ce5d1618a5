namespace EarReferral.Referrals.Clocks;

/// <summary>What a clock means, in words for people.</summary>
/// <param name="Clock">Which clock.</param>
/// <param name="Starts">What starts it.</param>
/// <param name="Stops">What stops it.</param>
/// <param name="OnExpiry">What has to happen when it runs out.</param>
public sealed record ClockDefinition(ReferralClock Clock, string Starts, string Stops, string OnExpiry)
{
    /// <summary>All six, in the order of the journey. Our own proposal; no standard defines them.</summary>
    public static IReadOnlyList<ClockDefinition> All { get; } =
    [
        new(ReferralClock.Deliver, "the decision to refer", "an answer that proves the ENT system stored the referral", "telephone the ENT department, keep sending with the same keys"),
        new(ReferralClock.Acknowledge, "delivery", "received, accepted or rejected", "poll, then worklist, then telephone"),
        new(ReferralClock.TriageOutcome, "received", "accepted, rejected or a question back", "chase the ENT department"),
        new(ReferralClock.Appointment, "accepted", "a booked visit", "chase and compare with the urgency"),
        new(ReferralClock.Outcome, "the date of the visit", "completed with an outcome, or did not attend", "chase the letter"),
        new(ReferralClock.InformationReply, "a question of the ENT system", "the clinic's reply", "clinic worklist at the priority of the referral"),
    ];
}
