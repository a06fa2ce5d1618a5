using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>What a rule looks at.</summary>
/// <param name="Encounter">The encounter.</param>
/// <param name="Options">What the caller allows.</param>
/// <param name="Zone">The clinic's time zone; null when its name is unknown.</param>
internal sealed record RuleSubject(ClinicEncounter Encounter, EncounterReaderOptions Options, TimeZoneInfo? Zone)
{
    /// <summary>Calendar day of the decision at the clinic; by the instant's own offset when the zone is unknown.</summary>
    public DateOnly EvaluationDate { get; } = DateOnly.FromDateTime(
        Zone is null ? Encounter.EvaluationInstant.DateTime : TimeZoneInfo.ConvertTime(Encounter.EvaluationInstant, Zone).DateTime);

    /// <summary>The ears, each with its JSON Pointer.</summary>
    public IEnumerable<(EarExamination Ear, string Pointer)> Ears => Encounter.Ears.Select((ear, index) => (ear, $"/ears/{index}"));

    /// <summary>Both looks into every ear, each with its JSON Pointer.</summary>
    public IEnumerable<(Otoscopy Otoscopy, string Pointer)> Otoscopies => Ears.SelectMany(
        at => at.Ear.After is { } after ? new[] { (at.Ear.Before, $"{at.Pointer}/before"), (after, $"{at.Pointer}/after") } : [(at.Ear.Before, $"{at.Pointer}/before")]);

    public bool Finished => Encounter.Status == EncounterStatus.Finished;
}
