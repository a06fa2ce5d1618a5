using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Referral;

/// <summary>What a referral adds to the record of the encounter.</summary>
/// <param name="Request">The request; owned by the clinic alone.</param>
/// <param name="Task">The task that both sides track the request with.</param>
/// <param name="Conditions">One provisional condition per ear, or for the whole patient, of the most urgent rules.</param>
/// <param name="Destination">The receiving service.</param>
public sealed record ReferralResources(
    ServiceRequest Request,
    Hl7.Fhir.Model.Task Task,
    IReadOnlyList<Condition> Conditions,
    Organization Destination)
{
    /// <summary>Kind of the receiving service.</summary>
    public DestinationKind Kind { get; init; } = DestinationKind.Ent;

    /// <summary>All of them in a fixed order.</summary>
    public IReadOnlyList<Resource> Resources { get; } = [Destination, .. Conditions, Request, Task];
}
