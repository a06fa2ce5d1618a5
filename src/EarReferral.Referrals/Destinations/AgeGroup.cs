namespace EarReferral.Referrals.Destinations;

/// <summary>Which of two services of a department takes the patient.</summary>
public enum AgeGroup
{
    /// <summary>Seen as an adult.</summary>
    Adult,

    /// <summary>Seen by a service for children.</summary>
    Child,
}
