namespace EarReferral.Storage.Identity;

/// <summary>The random seeds that resource ids of one encounter follow from; fixed from the first time they are asked for.</summary>
public sealed record IdentitySeeds(Guid Encounter, Guid Patient, Guid Practitioner, Guid Clinic);

/// <summary>What a clinic says about the NHS number of its patient.</summary>
/// <param name="NhsNumber">Ten digits.</param>
/// <param name="Verified">True when the clinic traced the number.</param>
/// <param name="BirthDate">As sent: <c>yyyy</c>, <c>yyyy-MM</c> or <c>yyyy-MM-dd</c>.</param>
public sealed record PatientLink(string NhsNumber, bool Verified, string? BirthDate);

/// <summary>Two patients that share a verified NHS number and differ in birth date. They are listed for a person, never merged.</summary>
public sealed record IdentityConflict(Guid PatientKey, Guid OtherPatientKey, string NhsNumber, DateTimeOffset FoundAt);
