using System.Text.Json.Nodes;

namespace EarReferral.Gateway.Demo;

/// <summary>An example encounter with what its hand-written expectation file says must become of it.</summary>
internal sealed record Example(string Name, JsonObject Encounter, string Tier, bool Referral, IReadOnlyList<string> Rules)
{
    /// <summary>All examples shipped with the program, by name.</summary>
    public static IReadOnlyList<Example> All()
    {
        var folder = Path.Combine(AppContext.BaseDirectory, "examples");
        return [.. Directory.EnumerateFiles(Path.Combine(folder, "encounters"), "*.json").Order(StringComparer.Ordinal).Select(file =>
        {
            var expected = JsonNode.Parse(File.ReadAllText(Path.Combine(folder, "expectations", Path.GetFileName(file))))!.AsObject();
            return new Example(
                Path.GetFileNameWithoutExtension(file),
                JsonNode.Parse(File.ReadAllText(file))!.AsObject(),
                (string)expected["tier"]!,
                (bool)expected["referral"]!,
                [.. expected["rules"]!.AsArray().Select(rule => (string)rule!).Order(StringComparer.Ordinal)]);
        })];
    }
}
