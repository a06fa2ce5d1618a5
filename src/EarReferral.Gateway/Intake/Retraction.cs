using System.ComponentModel;
using System.Text.Json;
using EarReferral.Encounters.Reading;

namespace EarReferral.Gateway.Intake;

/// <summary>Takes a stored encounter back as a whole.</summary>
internal sealed record Retraction
{
    /// <summary>The reasons that exist, as they are written.</summary>
    public static readonly IReadOnlyList<string> Reasons = ["wrongPatient", "wrongEar", "enteredInError"];

    [Description("wrongPatient: what is recorded belongs to somebody else. wrongEar: both ears were mixed up and a correction cannot mend it. enteredInError: the visit should never have been recorded.")]
    public string? Reason { get; init; }

    [Description("Who retracts, by name.")]
    public string? Person { get; init; }

    [Description("Why, in the person's own words.")]
    public string? Text { get; init; }

    /// <summary>Everything that is wrong with it.</summary>
    public IReadOnlyList<EncounterProblem> Problems() =>
    [
        .. Reason is null || !Reasons.Contains(Reason) ? [IntakeProblems.RetractionReason.At("/reason")] : Array.Empty<EncounterProblem>(),
        .. Fits(Person, 200) ? Array.Empty<EncounterProblem>() : [IntakeProblems.RetractionPerson.At("/person")],
        .. Fits(Text, 2000) ? Array.Empty<EncounterProblem>() : [IntakeProblems.RetractionText.At("/text")],
    ];

    /// <summary>The bytes that are kept, and by which a repeat is known.</summary>
    public byte[] Bytes() => JsonSerializer.SerializeToUtf8Bytes(this, JsonSerializerOptions.Web);

    private static bool Fits(string? text, int longest) => !string.IsNullOrWhiteSpace(text) && text.Length <= longest;
}
