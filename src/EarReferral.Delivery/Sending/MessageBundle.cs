using System.Globalization;
using System.Text.Json;

namespace EarReferral.Delivery.Sending;

/// <summary>The stored transaction as a FHIR R4 message: the same resources, MessageHeader first. A pure function, so that every attempt has the same bytes.</summary>
internal static class MessageBundle
{
    private const string EventSystem = "https://ear-referral.example/fhir/CodeSystem/message-event";
    private const string IdentifierSystem = "https://ear-referral.example/identifier/message";

    /// <summary>Writes the message.</summary>
    /// <param name="transaction">The stored bytes, a transaction with one ServiceRequest.</param>
    /// <param name="messageId">Id of the message; the same in Bundle.id, Bundle.identifier and MessageHeader.id, so that a receiver may answer to any of them.</param>
    /// <param name="queuedAt">Instant of the message, which stays when it is sent again.</param>
    /// <param name="source">Address of the gateway in the header.</param>
    /// <param name="destination">Address of the receiver in the header.</param>
    public static byte[] Of(ReadOnlyMemory<byte> transaction, string messageId, DateTimeOffset queuedAt, Uri source, Uri destination)
    {
        using var document = JsonDocument.Parse(transaction);
        var entries = document.RootElement.GetProperty("entry").EnumerateArray().ToList();
        var request = entries.Single(entry => entry.GetProperty("resource").GetProperty("resourceType").GetString() == "ServiceRequest");
        var isUpdate = entries.Any(entry => entry.GetProperty("request").GetProperty("method").GetString() == "PUT");
        using var memory = new MemoryStream();
        using (var json = new Utf8JsonWriter(memory, new JsonWriterOptions { Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping }))
        {
            json.WriteStartObject();
            json.WriteString("resourceType", "Bundle");
            json.WriteString("id", messageId);
            json.WriteStartObject("identifier");
            json.WriteString("system", IdentifierSystem);
            json.WriteString("value", messageId);
            json.WriteEndObject();
            json.WriteString("type", "message");
            json.WriteString("timestamp", queuedAt.ToUniversalTime().ToString("yyyy-MM-dd'T'HH:mm:ss.fff'Z'", CultureInfo.InvariantCulture));
            json.WriteStartArray("entry");
            WriteHeader(json, messageId, isUpdate ? "referral-update" : "referral-request", request.GetProperty("fullUrl").GetString()!, source, destination);
            foreach (var entry in entries)
            {
                json.WriteStartObject();
                json.WriteString("fullUrl", entry.GetProperty("fullUrl").GetString());
                json.WritePropertyName("resource");
                entry.GetProperty("resource").WriteTo(json);
                json.WriteEndObject();
            }

            json.WriteEndArray();
            json.WriteEndObject();
        }

        return memory.ToArray();
    }

    private static void WriteHeader(Utf8JsonWriter json, string messageId, string code, string focus, Uri source, Uri destination)
    {
        json.WriteStartObject();
        json.WriteString("fullUrl", $"urn:uuid:{messageId}");
        json.WriteStartObject("resource");
        json.WriteString("resourceType", "MessageHeader");
        json.WriteString("id", messageId);
        json.WriteStartObject("eventCoding");
        json.WriteString("system", EventSystem);
        json.WriteString("code", code);
        json.WriteEndObject();
        json.WriteStartArray("destination");
        json.WriteStartObject();
        json.WriteString("endpoint", destination.AbsoluteUri);
        json.WriteEndObject();
        json.WriteEndArray();
        json.WriteStartObject("source");
        json.WriteString("endpoint", source.AbsoluteUri);
        json.WriteEndObject();
        json.WriteStartArray("focus");
        json.WriteStartObject();
        json.WriteString("reference", focus);
        json.WriteEndObject();
        json.WriteEndArray();
        json.WriteEndObject();
        json.WriteEndObject();
    }
}
