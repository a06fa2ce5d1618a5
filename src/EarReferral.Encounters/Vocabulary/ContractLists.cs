using System.Text.Json;
using EarReferral.Encounters.Findings;
using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Vocabulary;

/// <summary>The closed lists of the contract that a clinic may speak in codes of its own.</summary>
public static class ContractLists
{
    /// <summary>Lists whose codes belong to somebody else's standard, or steer the gateway itself; they are always the contract's.</summary>
    private static readonly string[] NotTheClinics =
        ["administrativeGender", "clinicTier", "encounterStatus", "nhsNumberAbsentReason", "nhsNumberVerification", "ruleResponseKind", "screenGroup", "screenName"];

    /// <summary>By kebab-case name of the list: its kebab-case codes, reasons why there is no value among them.</summary>
    public static IReadOnlyDictionary<string, IReadOnlyList<string>> All { get; } = SchemaWalk.Root.GetProperty("$defs").EnumerateObject()
        .Where(definition => definition.Value.TryGetProperty("enum", out var codes) && codes[0].ValueKind == JsonValueKind.String && !NotTheClinics.Contains(definition.Name))
        .ToDictionary(
            definition => Naming.Kebab(definition.Name),
            IReadOnlyList<string> (definition) => [.. definition.Value.GetProperty("enum").EnumerateArray().Select(code => Naming.Kebab(code.GetString()!))],
            StringComparer.Ordinal);
}
