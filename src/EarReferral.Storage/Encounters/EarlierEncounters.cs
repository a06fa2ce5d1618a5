using EarReferral.Storage.Identity;

namespace EarReferral.Storage.Encounters;

/// <summary>Whose earlier visits are asked for, and from when.</summary>
/// <param name="ClinicId">The clinic; visits of no other are looked at.</param>
/// <param name="ClinicPatientId">The clinic's own number of the patient.</param>
/// <param name="ClinicEncounterId">The visit that asks; it is no history of itself.</param>
/// <param name="Patient">Who the visit says its patient is.</param>
/// <param name="Before">Its decision instant.</param>
public sealed record HistoryQuestion(string ClinicId, string ClinicPatientId, string ClinicEncounterId, PatientLink Patient, DateTimeOffset Before);

/// <summary>The earlier visits of a patient at one clinic.</summary>
/// <param name="Encounters">Newest revision of each, retracted and quarantined ones left out, oldest first.</param>
/// <param name="IsWithheld">True when what visits say contradicts itself about who the patient is; then none are given.</param>
public sealed record EarlierEncounters(IReadOnlyList<StoredEncounter> Encounters, bool IsWithheld);

/// <summary>A revision that a decision had before it.</summary>
public sealed record HistoryBasis(Guid EncounterKey, int Revision);

/// <summary>A visit that would be decided otherwise now that an earlier visit says something else.</summary>
/// <param name="EncounterKey">Key of the visit.</param>
/// <param name="Revision">Revision that was decided.</param>
/// <param name="ClinicId">Its clinic.</param>
/// <param name="Cause">The clinic's own number of the earlier visit.</param>
/// <param name="FoundAt">When the earlier visit came, changed or was taken back.</param>
/// <param name="Finding">What differs, as it was put; null until it was decided again.</param>
public sealed record HistoryReview(Guid EncounterKey, int Revision, string ClinicId, string Cause, DateTimeOffset FoundAt, string? Finding);
