namespace EarReferral.Mapping.Referral;

/// <summary>The service that a referral goes to, from the gateway's configuration.</summary>
/// <param name="Kind">Kind of service as the rules name it.</param>
/// <param name="OdsCode">ODS code of the service.</param>
/// <param name="Name">Name as it appears on letters.</param>
/// <param name="Telephone">Telephone of the on-call clinician, where there is one.</param>
/// <param name="Accepts">Priorities that the service knows; null or empty for all four.</param>
public sealed record ReferralDestination(
    DestinationKind Kind, string OdsCode, string Name, string? Telephone = null, IReadOnlyCollection<Hl7.Fhir.Model.RequestPriority>? Accepts = null)
{
    /// <summary>The priority as the service knows it: itself, else the nearest more urgent one, else the most urgent that it knows.</summary>
    public Hl7.Fhir.Model.RequestPriority Nearest(Hl7.Fhir.Model.RequestPriority wanted) => Accepts switch
    {
        null or { Count: 0 } => wanted,
        _ when Accepts.Any(each => each >= wanted) => Accepts.Where(each => each >= wanted).Min(),
        _ => Accepts.Max(),
    };
}

/// <summary>Kinds of receiving service.</summary>
public enum DestinationKind { Ent, Emergency, Gp, Audiology, CrisisTeam }
