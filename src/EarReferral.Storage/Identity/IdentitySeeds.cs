namespace EarReferral.Storage.Identity;

/// <summary>The random seeds that resource ids of one encounter follow from; fixed from the first time they are asked for.</summary>
public sealed record IdentitySeeds(Guid Encounter, Guid Patient, Guid Practitioner, Guid Clinic);

/// <summary>Who one visit says its patient is.</summary>
/// <param name="NhsNumber">Ten digits, or null when the visit names none.</param>
/// <param name="Verified">True when the clinic traced the number.</param>
/// <param name="BirthDate">A whole date, <c>yyyy-MM-dd</c>.</param>
public sealed record PatientLink(string? NhsNumber, bool Verified, string BirthDate);
