using System.Text.Json;
using EarReferral.Delivery.Sending;

namespace EarReferral.Delivery.Destinations;

/// <summary>Asks a receiver how the work on a referral stands, for the case that its report was lost or that it sends none.</summary>
/// <remarks>FHIR R4, RESTful API, search: by POST, so that no identifier stands in an address. Only what carries our identifier counts, because a server may ignore a search parameter that it does not know.</remarks>
public sealed class TaskQuestions
{
    private readonly EntClient client;

    internal TaskQuestions(EntClient client) => this.client = client;

    /// <summary>Asks for the Task with an identifier.</summary>
    /// <param name="destination">Whom.</param>
    /// <param name="correlationId">Correlation id of the referral.</param>
    /// <param name="system">System of the identifier.</param>
    /// <param name="value">Value of the identifier.</param>
    /// <param name="cancellationToken">Stops the question.</param>
    public async Task<TaskReply> AskAsync(DestinationOptions destination, string correlationId, string system, string value, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(destination);
        var (status, body) = await client.SearchAsync(destination, correlationId, "Task", $"{system}|{value}", cancellationToken);
        return status == 200 ? Read(body, system, value) : new TaskReply.Unclear(status == 0 ? "it did not answer" : $"it answered with status {status}");
    }

    /// <summary>Reads an answer to the question.</summary>
    /// <param name="body">The bytes of a 200.</param>
    /// <param name="system">System of our identifier.</param>
    /// <param name="value">Value of our identifier.</param>
    public static TaskReply Read(ReadOnlyMemory<byte> body, string system, string value)
    {
        try
        {
            using var document = JsonDocument.Parse(body);
            var root = document.RootElement;
            if (root.ValueKind != JsonValueKind.Object || Text(root, "resourceType") != "Bundle" || Text(root, "type") != "searchset")
            {
                return new TaskReply.Unclear("its answer is no searchset");
            }

            var tasks = Array(root, "entry").Where(entry => entry.ValueKind == JsonValueKind.Object && entry.TryGetProperty("resource", out var resource) && Text(resource, "resourceType") == "Task")
                .Select(entry => entry.GetProperty("resource"))
                .ToList();
            var ours = tasks.Where(task => Array(task, "identifier").Any(identifier => Text(identifier, "system") == system && Text(identifier, "value") == value)).ToList();
            return ours.Count switch
            {
                1 => new TaskReply.Found(JsonSerializer.SerializeToUtf8Bytes(ours[0])),
                > 1 => new TaskReply.Unclear("it holds the Task more than once"),
                _ => tasks.Count == 0 ? new TaskReply.Missing() : new TaskReply.Unclear("it answers with other Tasks only"),
            };
        }
        catch (JsonException)
        {
            return new TaskReply.Unclear("its answer is no JSON");
        }
    }

    private static string? Text(JsonElement element, string name) =>
        element.ValueKind == JsonValueKind.Object && element.TryGetProperty(name, out var value) && value.ValueKind == JsonValueKind.String ? value.GetString() : null;

    private static List<JsonElement> Array(JsonElement element, string name) =>
        element.TryGetProperty(name, out var value) && value.ValueKind == JsonValueKind.Array ? [.. value.EnumerateArray()] : [];
}

/// <summary>What a receiver says when it is asked about a Task.</summary>
public abstract record TaskReply
{
    /// <summary>It has the Task.</summary>
    /// <param name="Json">Its copy, as FHIR JSON.</param>
    public sealed record Found(ReadOnlyMemory<byte> Json) : TaskReply;

    /// <summary>It understood the question and has none.</summary>
    public sealed record Missing : TaskReply;

    /// <summary>It did not say.</summary>
    /// <param name="Why">Why, without patient data.</param>
    public sealed record Unclear(string Why) : TaskReply;
}
