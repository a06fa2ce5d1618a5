namespace EarReferral.Storage.Identity;

/// <summary>In what the records of a patient contradict each other.</summary>
public enum IdentityConflictKind
{
    /// <summary>Another patient record has the same NHS number and another birth date.</summary>
    SharedNumber,

    /// <summary>Visits under one patient id of the clinic name different NHS numbers.</summary>
    OwnNumber,

    /// <summary>Visits under one patient id of the clinic name different birth dates.</summary>
    OwnBirthDate,
}

/// <summary>A patient record that no search by NHS number returns until a person of the clinic has settled who it is.</summary>
/// <param name="PatientKey">Seed of the patient.</param>
/// <param name="PatientId">Id of the Patient resource; null when none is stored.</param>
/// <param name="ClinicId">The clinic whose record it is, and which can settle it.</param>
/// <param name="Kind">What contradicts.</param>
/// <param name="Since">When it was found first.</param>
public sealed record IdentityConflict(Guid PatientKey, string? PatientId, string ClinicId, IdentityConflictKind Kind, DateTimeOffset Since);
