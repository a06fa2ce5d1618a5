using EarReferral.Referrals.Clocks;
using EarReferral.Storage.Referrals;

namespace EarReferral.Gateway.Reports;

/// <summary>How long referrals waited, against the limit of each clock; pure.</summary>
internal static class ReferralWaits
{
    private static readonly (ReferralClock Clock, string Key, string Words)[] Steps =
    [
        (ReferralClock.Deliver, "arrival", "from the decision until it was stored there"),
        (ReferralClock.Acknowledge, "first-answer", "from the decision until a first answer"),
        (ReferralClock.TriageOutcome, "decision", "from the decision until accepted, returned or asked back"),
        (ReferralClock.Appointment, "appointment", "from the decision until an appointment was booked, or it came back"),
    ];

    /// <summary>One group per destination and step.</summary>
    /// <param name="referrals">Referrals with their clocks and the number of their visit.</param>
    public static IEnumerable<ReportGroup> Groups(IReadOnlyList<(StoredReferral Referral, string Number, IReadOnlyList<ClockReading> Clocks, bool Waits)> referrals)
    {
        foreach (var destination in referrals.GroupBy(each => each.Referral.Destination, StringComparer.Ordinal).OrderBy(group => group.Key, StringComparer.Ordinal))
        {
            foreach (var (clock, key, words) in Steps)
            {
                var readings = destination.Select(each => (each.Referral, each.Number, each.Waits, Reading: each.Clocks.Single(reading => reading.Clock == clock))).ToList();
                var measured = readings.Where(each => each.Reading.StoppedAt is not null).Select(each => each.Reading.StoppedAt!.Value - each.Referral.EvaluatedAt).Order().ToList();
                yield return new ReportGroup($"{destination.Key}: {words}", "referrals", IsWhole: true,
                [
                    Figure("in-time", "In time", each => each.Reading.State is ClockState.Stopped),
                    Figure("late", "Late", each => each.Reading.State is ClockState.StoppedLate),
                    Figure("waiting", "Still waiting, time left", each => each.Waits && each.Reading.State is ClockState.Running),
                    Figure("overdue", "Still waiting, overdue", each => each.Waits && each.Reading.State is ClockState.Expired),
                    Figure("before", "An earlier step still waits", each => each.Waits && each.Reading.State is ClockState.NotStarted),
                    Figure("ended", "Closed or taken back without it", each => !each.Waits && each.Reading.State is (ClockState.Running or ClockState.Expired or ClockState.NotStarted)),
                ])
                {
                    Times = measured.Count == 0 ? null : (measured[(measured.Count - 1) / 2], measured[^1], measured.Count),
                };

                ReportFigure Figure(string state, string said, Func<(StoredReferral Referral, string Number, bool Waits, ClockReading Reading), bool> counts) => new(
                    $"wait.{destination.Key}.{key}.{state}", said, [.. readings.Where(counts).Select(each => Item(each.Referral, each.Number))]);
            }
        }
    }

    /// <summary>Open referrals by the days since their decision.</summary>
    public static ReportGroup OpenByAge(IReadOnlyList<(StoredReferral Referral, string Number)> open, DateTimeOffset now)
    {
        (string Key, string Words, int From, int Until)[] spans =
        [
            ("open.0-1", "Less than 2 days", 0, 2),
            ("open.2-6", "2 to 6 days", 2, 7),
            ("open.7-13", "7 to 13 days", 7, 14),
            ("open.14-27", "14 to 27 days", 14, 28),
            ("open.28", "28 days and more", 28, int.MaxValue),
        ];
        return new ReportGroup("Open referrals today, by the time since the decision", "referrals", IsWhole: false,
            [.. spans.Select(span => new ReportFigure(span.Key, span.Words, [.. open.Where(each => Days(each.Referral) >= span.From && Days(each.Referral) < span.Until).Select(each => Item(each.Referral, each.Number))]))])
        {
            Caution = "Of all months, not of this one alone.",
        };

        double Days(StoredReferral referral) => Math.Max(0, (now - referral.EvaluatedAt).TotalDays);
    }

    private static CountedItem Item(StoredReferral referral, string number) => new(referral.EncounterKey, number, referral.EvaluatedAt, Note: referral.Tier, ReferralId: referral.ReferralId);
}
