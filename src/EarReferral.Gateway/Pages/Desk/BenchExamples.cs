namespace EarReferral.Gateway.Pages.Desk;

/// <summary>The published example visits, which lie beside the program.</summary>
internal static class BenchExamples
{
    private static readonly string Folder = Path.Combine(AppContext.BaseDirectory, "examples", "encounters");

    /// <summary>Names, in their order.</summary>
    public static IReadOnlyList<string> Names { get; } = Directory.Exists(Folder) ? [.. Directory.EnumerateFiles(Folder, "*.json").Select(file => Path.GetFileNameWithoutExtension(file)).Order(StringComparer.Ordinal)] : [];

    /// <summary>An example by its name; null where there is none.</summary>
    public static string? Read(string? name) => Names.FirstOrDefault(each => each == name) is { } known ? File.ReadAllText(Path.Combine(Folder, known + ".json")) : null;
}
