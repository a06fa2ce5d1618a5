namespace EarReferral.Delivery.Destinations;

/// <summary>Whom to telephone at an instant.</summary>
/// <param name="Name">Name for people.</param>
/// <param name="Phone">Number; null where the destination takes nothing that is phoned.</param>
/// <param name="OutOfHours">True when it is the alternative, because the destination itself does not answer then.</param>
public sealed record Contact(string Name, string? Phone, bool OutOfHours);
