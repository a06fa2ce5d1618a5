using System.Text.Json;

namespace EarReferral.Delivery.Sending;

/// <summary>The two facts about stored bytes that judging their answer needs.</summary>
/// <param name="Entries">Entries of the transaction.</param>
/// <param name="ServiceRequestIdentifier">First identifier of its ServiceRequest as <c>system|value</c>; the probe searches for it. Empty for a correction, which is never searched for.</param>
internal sealed record RequestFacts(int Entries, string ServiceRequestIdentifier)
{
    /// <summary>Reads them; null when the bytes are no transaction with exactly one identified ServiceRequest. A correction may hold none, where it only asks to stop.</summary>
    public static RequestFacts? Read(ReadOnlyMemory<byte> bytes, bool isCorrection = false)
    {
        try
        {
            using var document = JsonDocument.Parse(bytes);
            var root = document.RootElement;
            if (root.GetProperty("type").GetString() is not "transaction")
            {
                return null;
            }

            var resources = root.GetProperty("entry").EnumerateArray().Select(entry => entry.GetProperty("resource")).ToList();
            if (isCorrection)
            {
                return new RequestFacts(resources.Count, string.Empty);
            }

            var requests = resources.Where(resource => resource.GetProperty("resourceType").GetString() is "ServiceRequest").ToList();
            if (requests.Count != 1)
            {
                return null;
            }

            var identifier = requests[0].GetProperty("identifier")[0];
            return new RequestFacts(resources.Count, $"{identifier.GetProperty("system").GetString()}|{identifier.GetProperty("value").GetString()}");
        }
        catch (Exception fault) when (fault is JsonException or KeyNotFoundException or InvalidOperationException or IndexOutOfRangeException)
        {
            return null;
        }
    }
}
