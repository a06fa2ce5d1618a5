using System.ComponentModel;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Intake;

namespace EarReferral.Gateway.Patients;

/// <summary>What a person sends to link or unlink a patient record.</summary>
internal sealed record IdentityDecision
{
    [Description("Who decides, by name.")]
    public string? Person { get; init; }

    [Description("Why, in the person's own words: how it was found out who the patient is.")]
    public string? Reason { get; init; }

    /// <summary>Everything that is wrong with it.</summary>
    public IReadOnlyList<EncounterProblem> Problems() =>
    [
        .. Fits(Person, 200) ? Array.Empty<EncounterProblem>() : [IntakeProblems.IdentityPerson.At("/person")],
        .. Fits(Reason, 2000) ? Array.Empty<EncounterProblem>() : [IntakeProblems.IdentityReason.At("/reason")],
    ];

    private static bool Fits(string? text, int longest) => !string.IsNullOrWhiteSpace(text) && text.Length <= longest;
}

/// <summary>A patient record after a decision about it.</summary>
internal sealed record PatientIdentity(
    string PatientId,
    [property: Description("linked: found by the NHS number and birth date of its newest visit. unlinked: found by no NHS number.")] string State);
