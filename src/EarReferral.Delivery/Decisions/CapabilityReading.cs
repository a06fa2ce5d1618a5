using System.Text.Json;
using EarReferral.Storage.Sending;

namespace EarReferral.Delivery.Decisions;

/// <summary>How referrals can be handed over, as a receiver's CapabilityStatement (FHIR R4) says it.</summary>
/// <param name="Mode">The exchange; null when neither is offered.</param>
/// <param name="Updates">True when conditional update of a ServiceRequest is promised.</param>
/// <param name="Problem">What stands against the receiver; null when nothing does.</param>
internal sealed record CapabilityReading(ExchangeMode? Mode, bool Updates, string? Problem)
{
    // Without conditional creation of each of these a repeated transaction would store them twice.
    private static readonly string[] Conditional = ["ServiceRequest", "Task", "Patient"];

    /// <summary>Reads a statement. A transaction is preferred, because its answer proves what was stored.</summary>
    public static CapabilityReading Read(ReadOnlyMemory<byte> statement)
    {
        try
        {
            using var document = JsonDocument.Parse(statement);
            var root = document.RootElement;
            if (Text(root, "resourceType") is not "CapabilityStatement")
            {
                return new CapabilityReading(null, false, "Its /metadata is no CapabilityStatement.");
            }

            if (Text(root, "fhirVersion") is not ("4.0.1" or "4.0.0") and var version)
            {
                return new CapabilityReading(null, false, $"It speaks FHIR {version ?? "of no version"}, not R4.");
            }

            var server = Items(root, "rest").Where(rest => Text(rest, "mode") == "server").ToList();
            var updates = server.SelectMany(rest => Items(rest, "resource")).Any(resource => Text(resource, "type") == "ServiceRequest" && Flag(resource, "conditionalUpdate"));
            var transactions = server.Any(rest => Items(rest, "interaction").Any(interaction => Text(interaction, "code") == "transaction"));
            var creates = server.SelectMany(rest => Items(rest, "resource")).Where(resource => Flag(resource, "conditionalCreate")).Select(resource => Text(resource, "type")).ToHashSet();
            var messages = server.Any(rest => Items(rest, "operation").Any(operation => Text(operation, "name")?.TrimStart('$') == "process-message"))
                || Items(root, "messaging").Any();
            return (transactions && Conditional.All(creates.Contains), messages) switch
            {
                (true, _) => new CapabilityReading(ExchangeMode.Transaction, updates, null),
                (false, true) => new CapabilityReading(ExchangeMode.Message, updates, null),
                (false, false) when transactions => new CapabilityReading(null, updates, "It takes transactions, but does not promise conditional creation of ServiceRequest, Task and Patient: a repeat could store them twice. It takes no messages either."),
                (false, false) => new CapabilityReading(null, updates, "It promises neither transactions nor $process-message."),
            };
        }
        catch (Exception unreadable) when (unreadable is JsonException or InvalidOperationException)
        {
            return new CapabilityReading(null, false, "Its /metadata cannot be read as JSON.");
        }
    }

    private static string? Text(JsonElement element, string name) =>
        element.ValueKind is JsonValueKind.Object && element.TryGetProperty(name, out var member) && member.ValueKind is JsonValueKind.String ? member.GetString() : null;

    private static bool Flag(JsonElement element, string name) => element.TryGetProperty(name, out var member) && member.ValueKind is JsonValueKind.True;

    private static JsonElement.ArrayEnumerator Items(JsonElement element, string name) =>
        element.ValueKind is JsonValueKind.Object && element.TryGetProperty(name, out var member) && member.ValueKind is JsonValueKind.Array ? member.EnumerateArray() : default;
}
