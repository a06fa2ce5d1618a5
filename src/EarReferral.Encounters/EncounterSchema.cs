using System.Text;

namespace EarReferral.Encounters;

/// <summary>The JSON Schema (2020-12) of the contract: the source of truth that clinics integrate against.</summary>
public static class EncounterSchema
{
    /// <summary>Canonical address of the schema; a name, not a place to fetch from.</summary>
    public static Uri Id { get; } = new("https://ear-referral.example/schema/encounter-v1.schema.json");

    /// <summary>Text of the schema exactly as committed.</summary>
    public static string Text { get; } = Load();

    private static string Load()
    {
        using var stream = typeof(EncounterSchema).Assembly.GetManifestResourceStream("encounter-v1.schema.json")
            ?? throw new InvalidOperationException("The schema is not embedded in this assembly.");
        using var reader = new StreamReader(stream, Encoding.UTF8);
        return reader.ReadToEnd();
    }
}
