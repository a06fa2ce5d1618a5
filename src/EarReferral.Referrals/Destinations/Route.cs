namespace EarReferral.Referrals.Destinations;

/// <summary>One line of the directory: which cases go to a destination. A condition that names nothing holds for every case.</summary>
/// <param name="Destination">Name of the destination.</param>
/// <param name="Clinics">Clinics.</param>
/// <param name="Tiers">Tiers.</param>
/// <param name="Age">Adults or children only; null for both.</param>
/// <param name="Reasons">Rules, one of which has fired.</param>
/// <param name="Practices">GP practices, by ODS code.</param>
/// <param name="Receivers">Kinds of receiver, one of which a deciding rule names.</param>
public sealed record Route(
    string Destination,
    IReadOnlyCollection<string> Clinics,
    IReadOnlyCollection<string> Tiers,
    AgeGroup? Age,
    IReadOnlyCollection<string> Reasons,
    IReadOnlyCollection<string> Practices,
    IReadOnlyCollection<string> Receivers)
{
    /// <summary>True when every condition holds.</summary>
    public bool Takes(RoutedCase routed) =>
        Holds(Clinics, [routed.ClinicId])
        && Holds(Tiers, [routed.Tier])
        && (Age is null || Age == routed.Age)
        && Holds(Reasons, routed.Reasons)
        && (Practices.Count == 0 || (routed.Practice is { } practice && Practices.Contains(practice)))
        && Holds(Receivers, routed.Receivers);

    /// <summary>The destination of a case: the first line that takes it, else the clinic's own.</summary>
    public static string Choose(IEnumerable<Route> routes, RoutedCase routed, string clinicsOwn) =>
        routes.FirstOrDefault(route => route.Takes(routed))?.Destination ?? clinicsOwn;

    private static bool Holds(IReadOnlyCollection<string> wanted, IReadOnlyCollection<string> given) => wanted.Count == 0 || given.Any(wanted.Contains);
}
