using System.Text.Json.Nodes;
using EarReferral.Encounters.Reading;
using EarReferral.Testing;

namespace EarReferral.Encounters.Tests.Fixtures;

/// <summary>Two invented visits, and every committed example.</summary>
internal static class Fixture
{
    public static readonly EncounterReaderOptions TestNumbers = new() { AllowTestNhsNumbers = true };

    /// <summary>A finished visit that uses nearly every block of the contract.</summary>
    public static string Finished { get; } = Load("right-ear-cleared.json");

    /// <summary>A visit that is still going on, with the least that the contract asks for.</summary>
    public static string InProgress { get; } = Load("left-ear-in-progress.json");

    public static IReadOnlyList<string> Examples { get; } =
    [
        .. Directory.Exists(Repository.At("examples", "encounters"))
            ? Directory.EnumerateFiles(Repository.At("examples", "encounters"), "*.json", SearchOption.AllDirectories).Order(StringComparer.Ordinal).Select(File.ReadAllText)
            : [],
    ];

    /// <summary>The finished visit with one change.</summary>
    public static byte[] FinishedWith(Action<JsonObject> change) => With(Finished, change);

    public static byte[] With(string document, Action<JsonObject> change)
    {
        var tree = JsonNode.Parse(document)!.AsObject();
        change(tree);
        return System.Text.Encoding.UTF8.GetBytes(tree.ToJsonString());
    }

    private static string Load(string name) => File.ReadAllText(Repository.At("tests", "EarReferral.Encounters.Tests", "Fixtures", name));
}
