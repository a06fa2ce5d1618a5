using EarReferral.Referrals.Clocks;

namespace EarReferral.Referrals.LaterVisits;

/// <summary>A referral of the same patient, by the same clinic to the same receiver, on which somebody still works.</summary>
/// <param name="Id">Id of its ServiceRequest.</param>
/// <param name="Urgency">Its urgency.</param>
/// <param name="Concerns">What it rests on: rule and ear, such as <c>R-CA-05/left</c>, or the rule alone where it concerns the whole patient.</param>
/// <param name="DecidedAt">Decision instant.</param>
/// <param name="IsKept">True when an earlier revision of the visit was tied to it; it stays tied, whatever became of the referral since.</param>
public sealed record OpenRequest(string Id, ReferralUrgency Urgency, IReadOnlyCollection<string> Concerns, DateTimeOffset DecidedAt, bool IsKept);
