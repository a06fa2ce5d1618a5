namespace EarReferral.Mapping.Referral;

/// <summary>A request of an earlier visit that is open while a referral is made.</summary>
/// <param name="Id">Id of its ServiceRequest.</param>
/// <param name="DecidedAt">Its decision instant.</param>
/// <param name="IsReplaced">True when the new request takes its place (FHIR R4 ServiceRequest.replaces), false when it stands beside it.</param>
public sealed record EarlierRequest(string Id, DateTimeOffset DecidedAt, bool IsReplaced);
