using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using Spectre.Console;

namespace EarReferral.Gateway.Demo;

/// <summary>Prints what became of each example.</summary>
internal static partial class DemoReport
{
    private static readonly JsonSerializerOptions Web = new(JsonSerializerDefaults.Web) { WriteIndented = true };

    /// <summary>Prints the table, or JSON, and the pulled summary.</summary>
    public static void Print(DemoSettings settings, IReadOnlyList<ExampleResult> results, JsonObject? summary)
    {
        if (settings.AsJson)
        {
            Console.WriteLine(JsonSerializer.Serialize(results, Web));
            return;
        }

        var table = new Table().AddColumns("example", "tier", "as stated", "entries", "valid", "delivered", "acknowledged").Border(TableBorder.Simple);
        foreach (var result in results)
        {
            table.AddRow(
                Markup.Escape(result.Name),
                result.Tier is null ? $"HTTP {result.Status}" : result.Tier,
                result.AsStated ? "yes" : Markup.Escape($"NO, expected {result.ExpectedTier} {result.RuleDifference}"),
                result.Resources.ToString(CultureInfo.InvariantCulture),
                result.Valid ? "yes" : "NO",
                result.ReferralId is null ? "-" : result.AtReceiver == 1 ? "once" : $"{result.AtReceiver} times",
                result.ReferralId is null ? "-" : result.Acknowledged ? "yes" : "NO");
        }

        // A pipe has no width of its own; without one the table would be cut at 80 columns.
        AnsiConsole.Profile.Width = Math.Max(AnsiConsole.Profile.Width, 140);
        AnsiConsole.Write(table);
        Console.WriteLine($"{results.Count(result => result.AsStated)} of {results.Count} examples came through as their files state.");
        if (summary?["entry"]?[0]?["resource"] is JsonObject composition)
        {
            Console.WriteLine();
            Console.WriteLine($"GP summary pulled as a FHIR document: {(string?)composition["title"]}");
            Console.WriteLine(Words((string)composition["text"]!["div"]!));
        }
    }

    /// <summary>Prints where to look while the demo serves on.</summary>
    public static void PrintAddresses(DemoSettings settings)
    {
        Console.WriteLine();
        Console.WriteLine($"Still serving. API documentation: {settings.Url}/swagger");
        Console.WriteLine($"FHIR: {settings.Url}/fhir/metadata   stand-in ENT receiver: {settings.SandboxUrl}/fhir/metadata");
        Console.WriteLine("On this machine the demo asks nobody who they are. As a client with a token sees it, in another terminal:");
        Console.WriteLine($"  TOKEN=$(dotnet run --project src/EarReferral.Gateway -- token --client demo-gp --urls {settings.Url} --data {settings.DataFolder})");
        Console.WriteLine($"  curl -s -H \"Authorization: Bearer $TOKEN\" '{settings.Url}/fhir/Procedure?_lastUpdated=ge2020-01-01'");
        Console.WriteLine("Stop with Ctrl+C.");
    }

    private static string Words(string xhtml)
    {
        var lines = System.Net.WebUtility.HtmlDecode(Tag().Replace(BlockEnd().Replace(xhtml, "\n"), "")).Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        return string.Join('\n', lines.Take(14).Select(line => "  " + line));
    }

    [GeneratedRegex("</(p|li|h[1-6]|tr)>|<br */>")]
    private static partial Regex BlockEnd();

    [GeneratedRegex("<[^>]+>")]
    private static partial Regex Tag();
}
