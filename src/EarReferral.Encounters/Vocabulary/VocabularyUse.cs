using System.Text.Json.Serialization;

namespace EarReferral.Encounters;

/// <summary>Which code list of the clinic a document is written in; without it every closed list is the contract's.</summary>
public sealed record VocabularyUse
{
    /// <summary>URI of the clinic's code system, as its concept maps name it.</summary>
    public required string System { get; init; }

    /// <summary>Version of the code system.</summary>
    public required string Version { get; init; }

    /// <summary>The clinic's codes that were read, translated or kept; not part of the document.</summary>
    [JsonIgnore]
    public IReadOnlyList<LocalCode> Codes { get; init => field = value ?? []; } = [];
}
