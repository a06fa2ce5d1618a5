using System.Text.Json.Nodes;
using EarReferral.Encounters;

namespace EarReferral.Gateway.Intake;

/// <summary>Where an answer to an open question belongs in the encounter document.</summary>
internal static class FindingPlace
{
    private static readonly Dictionary<string, string[]> Places = Discover();

    /// <summary>The object and member that a finding code names, made where missing; null when no such place exists.</summary>
    /// <param name="document">The encounter document.</param>
    /// <param name="finding">Finding code.</param>
    /// <param name="side">Ear, for findings of one ear.</param>
    /// <param name="readable">The same document with its sides in the contract's codes, where the clinic writes its own; null when they are.</param>
    public static (JsonObject Parent, string Member)? Find(JsonObject document, string finding, EarSide? side, JsonObject? readable = null)
    {
        if (!Places.TryGetValue(finding, out var path))
        {
            return null;
        }

        var isOfAnEar = path[0] == "ear";
        var at = isOfAnEar ? Ear(document, readable ?? document, side) : document;
        foreach (var step in at is null ? [] : path[1..^1])
        {
            at = Child(at!, step);
        }

        return at is null ? null : (at, path[^1]);
    }

    private static JsonObject? Ear(JsonObject document, JsonObject readable, EarSide? side)
    {
        var index = side is { } wanted
            ? readable["ears"]!.AsArray().ToList().FindIndex(ear => string.Equals((string?)ear?["side"], wanted.ToString(), StringComparison.OrdinalIgnoreCase))
            : -1;
        return index < 0 ? null : document["ears"]!.AsArray()[index] as JsonObject;
    }

    private static JsonObject Child(JsonObject parent, string step)
    {
        // An otoscopy answer belongs to the last look: after the procedure where there was one.
        var name = step == "otoscopy" ? (parent["after"] is null ? "before" : "after") : step;
        if (parent[name] is not JsonObject child)
        {
            parent[name] = child = [];
        }

        return child;
    }

    private static Dictionary<string, string[]> Discover()
    {
        var places = new Dictionary<string, string[]>();
        AddBlocks(places, typeof(ClinicEncounter), ["patient"], name => name == "Complications" ? "patient-complications" : Kebab(name));
        AddBlocks(places, typeof(EarExamination), ["ear"], name => name == "History" ? "ear-history" : Kebab(name));
        AddBlocks(places, typeof(Otoscopy), ["ear", "otoscopy"], Kebab);
        places["otoscopy-view"] = ["ear", "otoscopy", "view"];
        places["otoscopy-note"] = ["ear", "otoscopy", "note"];
        return places;
    }

    private static void AddBlocks(Dictionary<string, string[]> places, Type owner, string[] prefix, Func<string, string> blockName)
    {
        foreach (var block in owner.GetProperties().Where(property => property.PropertyType.IsClass && property.PropertyType.Assembly == typeof(ClinicEncounter).Assembly))
        {
            foreach (var member in block.PropertyType.GetProperties())
            {
                var code = member.Name switch
                {
                    nameof(GeneralState.TemperatureCelsius) => "temperature",
                    var name => Kebab(name),
                };
                places.TryAdd($"{blockName(block.Name)}-{code}", [.. prefix, Camel(block.Name), Camel(member.Name)]);
            }
        }
    }

    private static string Camel(string name) => char.ToLowerInvariant(name[0]) + name[1..];

    private static string Kebab(string name) => System.Text.Json.JsonNamingPolicy.KebabCaseLower.ConvertName(name);
}
