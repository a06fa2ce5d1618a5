using System.Text.Json;

namespace EarReferral.Triage.Rules;

/// <summary>One object of a FHIR JSON file; a member that is missing or of another form reads as nothing.</summary>
/// <remarks>The FHIR library would read all of R4 and takes a second to get ready for it; the full check of a rule book uses it.</remarks>
internal readonly record struct FhirElement(JsonElement Json)
{
    private static readonly string[] ValueMembers = ["valueCode", "valueString", "valueBoolean"];

    public static readonly JsonDocumentOptions Strict = new() { AllowDuplicateProperties = false };

    public string? Text(string member) => Member(member, JsonValueKind.String)?.GetString();

    public FhirElement? Object(string member) => Member(member, JsonValueKind.Object) is { } found ? new FhirElement(found) : null;

    public IReadOnlyList<FhirElement> Items(string member) => Member(member, JsonValueKind.Array) is { } list
        ? [.. list.EnumerateArray().Where(item => item.ValueKind is JsonValueKind.Object).Select(item => new FhirElement(item))]
        : [];

    public int? WholeNumber(string member) => Member(member, JsonValueKind.Number) is { } number && number.TryGetDecimal(out var value) && value == (int)value ? (int)value : null;

    public IEnumerable<FhirElement> Extensions(string url) => Items("extension").Where(extension => extension.Text("url") == url);

    /// <summary>The one extension of a URL; two of them are none.</summary>
    public FhirElement? Extension(string url) => Extensions(url).ToList() is [var only] ? only : null;

    /// <summary>Code, string or Boolean that an extension carries, as text.</summary>
    public string? ExtensionText(string url) => Extension(url)?.Value;

    public string? Value
    {
        get
        {
            foreach (var name in ValueMembers)
            {
                if (Json.TryGetProperty(name, out var value))
                {
                    return value.ValueKind switch { JsonValueKind.String => value.GetString(), JsonValueKind.True => "true", JsonValueKind.False => "false", _ => null };
                }
            }

            return null;
        }
    }

    private JsonElement? Member(string name, JsonValueKind kind) =>
        Json.ValueKind is JsonValueKind.Object && Json.TryGetProperty(name, out var found) && found.ValueKind == kind ? found : null;
}
