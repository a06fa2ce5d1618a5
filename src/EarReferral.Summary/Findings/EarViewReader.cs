using Hl7.Fhir.Model;

namespace EarReferral.Summary.Findings;

/// <summary>Reads from the Observations of a record what a drawing shows.</summary>
public static class EarViewReader
{
    /// <summary>One ear at one moment.</summary>
    /// <param name="record">The resources of one encounter, in any order; those of other types are passed over.</param>
    /// <param name="side">The patient's side.</param>
    /// <param name="moment">Before or after the procedure.</param>
    public static EarView Read(IEnumerable<Resource> record, EarSide side, ExaminationMoment moment)
    {
        ArgumentNullException.ThrowIfNull(record);
        var observations = record.OfType<Observation>()
            .Where(observation => observation.Status is not ObservationStatus.EnteredInError && IsOf(observation, side) && IsAt(observation, moment))
            .ToList();
        var otoscopy = observations.Where(observation => IsOtoscopy(Code(observation))).ToList();
        return new EarView(
            side,
            moment,
            otoscopy.Exists(observation => observation.DataAbsentReason is null),
            Drum(otoscopy),
            LightReflex(otoscopy),
            [.. observations.Select(Finding).OfType<EarFinding>()]);
    }

    private static EarFinding? Finding(Observation observation) => Code(observation) switch
    {
        FindingCodes.Deposit => new EarFinding(FindingKind.Deposit, Text(observation.Value) ?? "deposit, material not recorded", Place(observation)),
        FindingCodes.Residual => new EarFinding(FindingKind.Residual, $"left in the ear{(IsOnPurpose(observation) ? " on purpose" : string.Empty)}: {Text(observation.Value)}", Place(observation)),
        FindingCodes.Perforation when IsPresent(observation) => new EarFinding(FindingKind.Perforation, "perforation", Place(observation)),
        { } code when IsOtoscopy(code) && IsPresent(observation) && !FindingCodes.Wanted.Contains(code) =>
            new EarFinding(IsOfDrum(code) ? FindingKind.DrumFinding : FindingKind.CanalFinding, Words(observation), Place(observation)),
        _ => null,
    };

    private static DrumView Drum(IEnumerable<Observation> otoscopy) => otoscopy.FirstOrDefault(observation => Code(observation) == FindingCodes.DrumVisualised) is { } visualised
        ? CodeIn(visualised.Value, FindingCodes.Visibility) switch
        {
            "fully" => DrumView.Fully,
            "partly" => DrumView.Partly,
            "not" => DrumView.NotSeen,
            _ => DrumView.NotRecorded,
        }
        : DrumView.NotRecorded;

    private static bool? LightReflex(IEnumerable<Observation> otoscopy) =>
        otoscopy.FirstOrDefault(observation => Code(observation) == FindingCodes.LightReflex && observation.DataAbsentReason is null) is { } reflex ? IsPresent(reflex) : null;

    private static EarPlace? Place(Observation observation)
    {
        var parts = observation.Component
            .Where(component => CodeIn(component.Code, FindingCodes.Finding) is FindingCodes.LocationPart or FindingCodes.LocationWall or FindingCodes.LocationQuadrant)
            .ToList();
        string? CodeOf(string system) => parts.Select(part => CodeIn(part.Value, system)).FirstOrDefault(code => code is not null);
        return CodeOf(FindingCodes.Part) is { } ear
            ? new EarPlace(ear, CodeOf(FindingCodes.Wall), CodeOf(FindingCodes.Quadrant), string.Join(", ", parts.Select(part => Place(part)).OfType<string>()))
            : null;
    }

    private static string? Place(Observation.ComponentComponent part) =>
        CodeIn(part.Code, FindingCodes.Finding) is FindingCodes.LocationWall && CodeIn(part.Value, FindingCodes.Wall) is { } wall && wall != "all-round" ? $"{Text(part.Value)} wall" : Text(part.Value);

    internal static bool IsOf(Observation observation, EarSide side) => CodeIn(observation.BodySite, FindingCodes.Snomed) == FindingCodes.Ear(side);

    private static bool IsAt(Observation observation, ExaminationMoment moment) => observation.Category.Exists(category => CodeIn(category, FindingCodes.Moment) == moment switch
    {
        ExaminationMoment.Before => "before",
        ExaminationMoment.After => "after",
    });

    private static bool IsOnPurpose(Observation observation) =>
        observation.Component.Exists(component => CodeIn(component.Code, FindingCodes.Finding) == "residual-on-purpose" && component.Value is FhirBoolean { Value: true });

    private static bool IsOtoscopy(string? code) => code is not null && (IsOfDrum(code) || code.StartsWith("canal-", StringComparison.Ordinal));

    private static bool IsOfDrum(string code) => code.StartsWith("drum-", StringComparison.Ordinal);

    private static bool IsPresent(Observation observation) => CodeIn(observation.Value, FindingCodes.Snomed) == FindingCodes.Present;

    internal static string? Code(Observation observation) => CodeIn(observation.Code, FindingCodes.Finding);

    private static string Words(Observation observation)
    {
        var text = observation.Code?.Text ?? Code(observation)!;
        return text.Length == 0 ? text : char.ToLowerInvariant(text[0]) + text[1..];
    }

    internal static string? CodeIn(DataType? value, string system) =>
        (value as CodeableConcept)?.Coding.Find(coding => coding.System == system)?.Code;

    private static string? Text(DataType? value) => value is CodeableConcept concept ? concept.Text ?? concept.Coding.FirstOrDefault()?.Display : null;
}
