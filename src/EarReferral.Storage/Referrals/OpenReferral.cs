using Hl7.Fhir.Model;

namespace EarReferral.Storage.Referrals;

/// <summary>A referral that somebody works on, as a later visit of the patient sees it.</summary>
/// <param name="ReferralId">Id of its ServiceRequest.</param>
/// <param name="TaskId">Id of its Task.</param>
/// <param name="Destination">Name of the receiver.</param>
/// <param name="Tier">Its tier.</param>
/// <param name="Concerns">What it rests on.</param>
/// <param name="EvaluatedAt">Decision instant.</param>
/// <param name="IsKept">True when the visit was tied to it before; then it may be over.</param>
public sealed record OpenReferral(string ReferralId, string TaskId, string Destination, string Tier, IReadOnlyList<string> Concerns, DateTimeOffset EvaluatedAt, bool IsKept);

/// <summary>Ties a visit to the referral of an earlier one.</summary>
/// <param name="ReferralId">The earlier referral.</param>
/// <param name="IsKept">True when the visit was tied to it before, so that it need not be open any more.</param>
/// <param name="ReplacedBy">The visit's own referral, where it takes the place of the earlier one.</param>
/// <param name="Entry">Line for the timeline of the earlier referral.</param>
/// <param name="Note">What its receiver reads of the visit; null when nothing.</param>
public sealed record LaterVisitTie(string ReferralId, bool IsKept, string? ReplacedBy, ReferralEvent Entry, Resource? Note);
