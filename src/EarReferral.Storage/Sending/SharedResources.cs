using System.Text.Json;

namespace EarReferral.Storage.Sending;

/// <summary>The people and organisations in a request, which other referrals name as well.</summary>
internal static class SharedResources
{
    private static readonly string[] Types = ["Patient", "Practitioner", "PractitionerRole", "Organization"];

    /// <summary>Type and condition of creation of each; empty for bytes that are no transaction, which are never sent anyway.</summary>
    public static IReadOnlySet<string> Of(ReadOnlyMemory<byte> request)
    {
        try
        {
            using var bundle = JsonDocument.Parse(request);
            return bundle.RootElement.GetProperty("entry").EnumerateArray()
                .Select(entry => entry.GetProperty("request"))
                .Where(entry => Types.Contains(entry.GetProperty("url").GetString()) && entry.TryGetProperty("ifNoneExist", out _))
                .Select(entry => $"{entry.GetProperty("url").GetString()}?{entry.GetProperty("ifNoneExist").GetString()}")
                .ToHashSet(StringComparer.Ordinal);
        }
        catch (Exception fault) when (fault is JsonException or KeyNotFoundException or InvalidOperationException)
        {
            return new HashSet<string>();
        }
    }
}
