using EarReferral.Encounters;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Record;

/// <summary>One encounter as FHIR R4 resources. Ids are lower-case UUIDs and references have the form <c>Type/id</c>.</summary>
/// <param name="Patient">The patient.</param>
/// <param name="Practitioner">The clinician.</param>
/// <param name="Role">The clinician at the clinic; author, performer and requester of everything.</param>
/// <param name="Clinic">The clinic.</param>
/// <param name="GpPractice">The GP practice, where given.</param>
/// <param name="Encounter">The visit.</param>
/// <param name="Procedures">One procedure per ear that was worked on or expressly not started, right before left.</param>
/// <param name="Observations">Every finding, deposit, step, residual and threshold in the order of the contract.</param>
/// <param name="Media">Pictures and videos, by reference.</param>
/// <param name="Consents">What the patient agreed to or refused, each use by itself.</param>
/// <param name="Language">Language of generated text.</param>
public sealed record EncounterRecord(
    Patient Patient,
    Practitioner Practitioner,
    Hl7.Fhir.Model.PractitionerRole Role,
    Organization Clinic,
    Organization? GpPractice,
    Encounter Encounter,
    IReadOnlyDictionary<EarSide, Procedure> Procedures,
    IReadOnlyList<Observation> Observations,
    IReadOnlyList<Media> Media,
    IReadOnlyList<Consent> Consents,
    string Language)
{
    /// <summary>What earlier visits say, as Observations of this one; apart from <see cref="Observations"/>, since nobody told or saw it here.</summary>
    public IReadOnlyList<Observation> History { get; init; } = [];

    /// <summary>All resources in a fixed order.</summary>
    public IReadOnlyList<Resource> Resources =>
    [
        Patient,
        Practitioner,
        Role,
        Clinic,
        .. GpPractice is null ? Array.Empty<Resource>() : [GpPractice],
        Encounter,
        .. Procedures.OrderBy(pair => pair.Key).Select(pair => pair.Value),
        .. Observations,
        .. History,
        .. Media,
        .. Consents,
    ];
}
