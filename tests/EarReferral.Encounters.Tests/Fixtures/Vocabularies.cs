using System.Text.Json.Nodes;
using EarReferral.Encounters.Vocabulary;

namespace EarReferral.Encounters.Tests.Fixtures;

/// <summary>An invented pick-list of the invented clinic, version 1.</summary>
internal static class Vocabularies
{
    public const string System = "https://harbour-lane.example/codes";

    public static ClinicVocabulary HarbourLane { get; } = new(
        "harbour-lane",
        System,
        "1",
        new Dictionary<string, IReadOnlyDictionary<string, LocalMeaning>>
        {
            ["ear-side"] = Codes(("R", "right", true), ("L", "left", true)),
            ["hearing-change"] = Codes(("HV-1", "gradual", true), ("HV-2", "sudden", true), ("HV-3", "rapid", false), ("none", "not-asked", true)),
            ["drum-appearance"] = Codes(("DA-1", "dull", true), ("DA-2", "other", false), ("DA-3", null, true)),
            ["occlusion"] = Codes(("OC-2", "partial", true)),
            ["practitioner-role"] = Codes(("RN", "registered-nurse", true)),
        },
        new HashSet<string> { "hearing-change" });

    /// <summary>A version in which one list alone is spoken in the clinic's codes.</summary>
    public static ClinicVocabulary HearingOnly { get; } = HarbourLane with
    {
        Version = "hearing-only",
        Lists = HarbourLane.Lists.Where(list => list.Key == "hearing-change").ToDictionary(),
    };

    public static JsonObject Use(string version = "1") => new() { ["system"] = System, ["version"] = version };

    private static Dictionary<string, LocalMeaning> Codes(params (string Local, string? Code, bool IsExact)[] codes) =>
        codes.ToDictionary(code => code.Local, code => new LocalMeaning(code.Code, code.IsExact, $"Words of {code.Local}"));
}
