using EarReferral.Referrals.Destinations;

namespace EarReferral.Delivery.Destinations;

/// <summary>One line of the directory; configuration section <c>Delivery:Routes</c>. What names nothing holds for every case.</summary>
public sealed class RouteOptions
{
    /// <summary>Name of the destination, from <c>Delivery:Destinations</c>.</summary>
    public string Destination { get; set; } = "";

    /// <summary>Ids of clinics.</summary>
    public IList<string> Clinics { get; } = [];

    /// <summary>Tiers, such as <c>T1</c>.</summary>
    public IList<string> Tiers { get; } = [];

    /// <summary>Adults or children only.</summary>
    public AgeGroup? Age { get; set; }

    /// <summary>Ids of rules, one of which has fired.</summary>
    public IList<string> Reasons { get; } = [];

    /// <summary>GP practices of patients, by ODS code; so that what a rule sends to the GP goes to the patient's own.</summary>
    public IList<string> Practices { get; } = [];

    /// <summary>Kinds of receiver that a deciding rule names, such as <c>gp</c>.</summary>
    public IList<string> Receivers { get; } = [];

    /// <summary>The line as the choice reads it.</summary>
    internal Route ToRoute() => new(Destination, [.. Clinics], [.. Tiers], Age, [.. Reasons], [.. Practices], [.. Receivers]);
}
