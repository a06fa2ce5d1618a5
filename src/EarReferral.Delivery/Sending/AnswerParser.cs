using System.Text.Json;
using EarReferral.Delivery.Decisions;

namespace EarReferral.Delivery.Sending;

/// <summary>Reads a body for the few elements that decide. Anything unreadable is <see cref="AnswerBody.Other"/>, never an exception.</summary>
internal static class AnswerParser
{
    /// <summary>Reads a body; media types lie, so the content itself decides.</summary>
    public static AnswerBody Read(ReadOnlyMemory<byte> body)
    {
        try
        {
            using var document = JsonDocument.Parse(body);
            return Read(document.RootElement) ?? Unreadable(body);
        }
        catch (JsonException)
        {
            return Unreadable(body);
        }
    }

    private static AnswerBody? Read(JsonElement root) => (Text(root, "resourceType"), Text(root, "type")) switch
    {
        ("OperationOutcome", _) => new AnswerBody.Outcome([.. Items(root, "issue").Select(Issue)]),
        ("Bundle", "transaction-response") => new AnswerBody.TransactionResponse([.. Items(root, "entry").Select(Entry)]),
        ("Bundle", "message") => Message(root),
        ("Bundle", "searchset") => new AnswerBody.SearchResult([.. Items(root, "entry").Select(Match).OfType<SearchMatch>()]),
        _ => null,
    };

    private static AnswerBody.Other Unreadable(ReadOnlyMemory<byte> body) =>
        new(System.Text.Encoding.UTF8.GetString(body.Span).Contains("idempotency", StringComparison.OrdinalIgnoreCase));

    private static AnswerBody.MessageResponse? Message(JsonElement root)
    {
        var resources = Items(root, "entry").Select(entry => Member(entry, "resource")).OfType<JsonElement>().ToList();
        return resources.Find(resource => Text(resource, "resourceType") is "MessageHeader") is { ValueKind: JsonValueKind.Object } header && Member(header, "response") is { } response
            ? new AnswerBody.MessageResponse(
                Text(response, "identifier"),
                Text(response, "code"),
                [.. resources.Where(resource => Text(resource, "resourceType") is "OperationOutcome").SelectMany(outcome => Items(outcome, "issue").Select(Issue))])
            : null;
    }

    private static EntryAnswer Entry(JsonElement entry) =>
        Member(entry, "response") is { } response
            ? new EntryAnswer(Text(response, "status"), Text(response, "location"), Text(response, "etag"))
            : new EntryAnswer(null, null, null);

    private static AnswerIssue Issue(JsonElement issue) => new(
        Text(issue, "severity") ?? "error",
        Text(issue, "code") ?? string.Empty,
        (Member(issue, "details") is { } details ? Text(details, "text") : null) ?? Text(issue, "diagnostics"),
        Items(issue, "expression").Select(item => item.ValueKind is JsonValueKind.String ? item.GetString() : null).FirstOrDefault());

    private static SearchMatch? Match(JsonElement entry)
    {
        if (Member(entry, "resource") is not { } resource || Text(resource, "resourceType") is not "ServiceRequest")
        {
            return null;
        }

        var version = Member(resource, "meta") is { } meta ? Text(meta, "versionId") : null;
        return new SearchMatch(
            Text(resource, "id") is { } id ? $"ServiceRequest/{id}" : null,
            version is null ? null : $"W/\"{version}\"",
            [.. Items(resource, "identifier").Select(identifier => $"{Text(identifier, "system")}|{Text(identifier, "value")}")]);
    }

    private static JsonElement? Member(JsonElement element, string name) =>
        element.ValueKind is JsonValueKind.Object && element.TryGetProperty(name, out var member) ? member : null;

    private static string? Text(JsonElement element, string name) =>
        Member(element, name) is { ValueKind: JsonValueKind.String } member ? member.GetString() : null;

    private static JsonElement.ArrayEnumerator Items(JsonElement element, string name) =>
        Member(element, name) is { ValueKind: JsonValueKind.Array } member ? member.EnumerateArray() : default;
}
