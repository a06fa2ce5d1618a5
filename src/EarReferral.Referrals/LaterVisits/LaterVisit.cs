using EarReferral.Referrals.Clocks;

namespace EarReferral.Referrals.LaterVisits;

/// <summary>How a visit that refers stands to a referral that is open already (decision 0029).</summary>
/// <param name="Relation">What it is to it.</param>
/// <param name="Open">The open referral.</param>
public sealed record LaterVisit(LaterVisitRelation Relation, OpenRequest Open)
{
    /// <summary>Finds the open referral that counts and says what the visit is to it; null when none is open.</summary>
    /// <param name="urgency">Urgency of the visit.</param>
    /// <param name="concerns">What its referral would rest on, as in <see cref="OpenRequest.Concerns"/>; none where a clinician refers without a rule.</param>
    /// <param name="decidedAt">Its decision instant; a referral of a later visit is not looked at.</param>
    /// <param name="mayAdd">False where the visit must have a referral of its own: it had one before, or a clinician chose its urgency.</param>
    /// <param name="open">Referrals that are open.</param>
    public static LaterVisit? Of(ReferralUrgency urgency, IReadOnlyCollection<string> concerns, DateTimeOffset decidedAt, bool mayAdd, IEnumerable<OpenRequest> open)
    {
        var before = open.Where(each => each.IsKept || each.DecidedAt <= decidedAt).OrderByDescending(each => each.IsKept).ThenByDescending(each => each.DecidedAt).ThenBy(each => each.Id, StringComparer.Ordinal).ToList();
        var same = before.Where(each => each.Concerns.Any(concerns.Contains)).ToList();
        if (same.Count == 0)
        {
            return before.Count == 0 ? null : new(LaterVisitRelation.Separate, before[0]);
        }

        // An emergency that is found again says that the first request has not been acted on; it is never only added to it.
        if (urgency is ReferralUrgency.Emergency or ReferralUrgency.Immediate || same.TrueForAll(each => urgency < each.Urgency))
        {
            return new(LaterVisitRelation.Replaces, same[0]);
        }

        return mayAdd && same.Find(each => each.Urgency <= urgency && concerns.All(each.Concerns.Contains)) is { } covering
            ? new(LaterVisitRelation.Adds, covering)
            : new(LaterVisitRelation.Separate, same[0]);
    }
}
