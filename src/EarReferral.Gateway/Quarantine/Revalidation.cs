using System.ComponentModel;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Intake;

namespace EarReferral.Gateway.Quarantine;

/// <summary>Asks for another look at a quarantined record.</summary>
internal sealed record Revalidation
{
    [Description("Who asks, by name.")]
    public string? Person { get; init; }

    [Description("Why now, in the person's own words: what was mended.")]
    public string? Reason { get; init; }

    [Description("The tier that the rules give now, where it is less urgent than the one the clinic was told. Without it such a record is not released.")]
    public string? AcceptTier { get; init; }

    /// <summary>Everything that is wrong with it.</summary>
    public IReadOnlyList<EncounterProblem> Problems() =>
    [
        .. Fits(Person, 200) ? Array.Empty<EncounterProblem>() : [IntakeProblems.QuarantinePerson.At("/person")],
        .. Fits(Reason, 2000) ? Array.Empty<EncounterProblem>() : [IntakeProblems.QuarantineReason.At("/reason")],
    ];

    private static bool Fits(string? text, int longest) => !string.IsNullOrWhiteSpace(text) && text.Length <= longest;
}
