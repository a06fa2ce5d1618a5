namespace EarReferral.Storage.Search;

/// <summary>The resources of one patient or one visit, as the CompartmentDefinitions of FHIR R4 draw them.</summary>
/// <param name="Type">Type that owns the compartment.</param>
/// <param name="Id">Its id.</param>
public sealed record Compartment(string Type, string Id)
{
    /// <summary>R4 CompartmentDefinition patient and encounter, of the types and parameters that are kept here. Task is in neither.</summary>
    private static readonly Dictionary<(string Owner, string Member), string[]> Members = new()
    {
        [("Patient", "Communication")] = ["subject"],
        [("Patient", "Composition")] = ["subject", "author"],
        [("Patient", "Condition")] = ["patient", "asserter"],
        [("Patient", "Consent")] = ["patient"],
        [("Patient", "DocumentReference")] = ["subject", "author"],
        [("Patient", "Encounter")] = ["patient"],
        [("Patient", "Media")] = ["subject"],
        [("Patient", "Observation")] = ["subject", "performer"],
        [("Patient", "Procedure")] = ["patient", "performer"],
        [("Patient", "Provenance")] = ["patient"],
        [("Patient", "ServiceRequest")] = ["subject", "performer"],
        [("Encounter", "Composition")] = ["encounter"],
        [("Encounter", "Condition")] = ["encounter"],
        [("Encounter", "DocumentReference")] = ["encounter"],
        [("Encounter", "Media")] = ["encounter"],
        [("Encounter", "Observation")] = ["encounter"],
        [("Encounter", "Procedure")] = ["encounter"],
        [("Encounter", "ServiceRequest")] = ["encounter"],
    };

    /// <summary>Types that have compartments here.</summary>
    public static IReadOnlyList<string> Owners { get; } = [.. Members.Keys.Select(key => key.Owner).Distinct()];

    /// <summary>Types in the compartments of a type.</summary>
    public static IEnumerable<string> MembersOf(string owner) => Members.Keys.Where(key => key.Owner == owner).Select(key => key.Member);

    /// <summary>Parameters through which a resource of the type belongs to the compartment; none when the type is not in it.</summary>
    public IReadOnlyList<string> Parameters(string member) => Members.GetValueOrDefault((Type, member)) ?? [];
}
