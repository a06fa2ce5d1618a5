using EarReferral.Encounters;

namespace EarReferral.Mapping.History;

/// <summary>An earlier visit of the same patient at the same clinic.</summary>
/// <param name="Encounter">The visit as read from what was posted.</param>
/// <param name="Seed">Encounter seed that the ids of its resources follow from.</param>
public sealed record EarlierVisit(ClinicEncounter Encounter, Guid Seed);
