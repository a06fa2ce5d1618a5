using System.Text.Json;

namespace EarReferral.Faults;

/// <summary>Reads what the receiver wrote into its own file, without any of its code.</summary>
internal static class ReceiverFile
{
    private const string Ours = "https://ear-referral.example/identifier/resource";

    /// <summary>How often each resource was created, by type and our identifier; what carries none of ours is counted under its own id.</summary>
    public static IReadOnlyDictionary<string, int> Created(string path)
    {
        var created = new Dictionary<string, int>();

        // The receiver still runs and lets nobody share its file, so a copy is read.
        foreach (var line in File.ReadLines(path))
        {
            using var document = JsonDocument.Parse(line);
            if (document.RootElement.GetProperty("kind").GetString() != "accepted")
            {
                continue;
            }

            foreach (var resource in document.RootElement.GetProperty("created").EnumerateArray().Select(stored => stored.GetProperty("json")))
            {
                var key = $"{resource.GetProperty("resourceType").GetString()} {Identifier(resource) ?? resource.GetProperty("id").GetString()}";
                created[key] = created.GetValueOrDefault(key) + 1;
            }
        }

        return created;
    }

    private static string? Identifier(JsonElement resource)
    {
        if (!resource.TryGetProperty("identifier", out var identifier))
        {
            return null;
        }

        JsonElement[] all = identifier.ValueKind == JsonValueKind.Array ? [.. identifier.EnumerateArray()] : [identifier];
        return all
            .Where(one => one.TryGetProperty("system", out var system) && system.GetString() == Ours)
            .Select(one => $"{Ours}|{one.GetProperty("value").GetString()}")
            .FirstOrDefault();
    }
}
