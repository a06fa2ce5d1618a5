namespace EarReferral.Mapping.Referral;

/// <summary>The service that a referral goes to, from the gateway's configuration.</summary>
/// <param name="Kind">Kind of service as the rules name it.</param>
/// <param name="OdsCode">ODS code of the service.</param>
/// <param name="Name">Name as it appears on letters.</param>
/// <param name="Telephone">Telephone of the on-call clinician, where there is one.</param>
public sealed record ReferralDestination(DestinationKind Kind, string OdsCode, string Name, string? Telephone = null);

/// <summary>Kinds of receiving service.</summary>
public enum DestinationKind { Ent, Emergency, Gp, Audiology, CrisisTeam }
