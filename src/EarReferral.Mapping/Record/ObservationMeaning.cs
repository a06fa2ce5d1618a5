using EarReferral.Mapping.Codes;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Record;

/// <summary>What an observation of ours says to a reader: something found, something denied, or nothing known.</summary>
internal static class ObservationMeaning
{
    /// <summary>Findings whose "no" is what a reader must see; it is never folded into a list of denied complaints.</summary>
    private static readonly HashSet<string> TellingWhenDenied = new(StringComparer.Ordinal)
    {
        "drum-intact", "drum-light-reflex", "ear-history-drum-documented-intact", "ear-history-perforation-healed", "foreign-body-removed",
        "hearing-explained-by-outer-or-middle-ear", "neurology-forehead-involved", "neurology-facial-weakness-old-unchanged", "vertigo-resolved",
        "vertigo-hints-trained",
    };

    /// <summary>Codes that deny, list by list: "none" of a hearing level is a deaf ear, and what is not named here is never folded away.</summary>
    private static readonly HashSet<(string? System, string? Code)> Denials =
    [
        (CodeSystems.Own("hearing-change"), "none"), (CodeSystems.Own("body-side"), "none"), (CodeSystems.Own("nystagmus"), "none"),
        (CodeSystems.Own("severity"), "none"), (CodeSystems.Own("bleeding"), "none"), (CodeSystems.Own("procedure-vertigo"), "none"),
        (CodeSystems.Own("grommet-state"), "never"), (CodeSystems.Own("touched-part"), "nothing"),
    ];

    /// <summary>Local code of what was observed; empty for what is not ours.</summary>
    public static string Code(Observation observation) =>
        observation.Code?.Coding.FirstOrDefault(coding => coding.System == CodeSystems.Finding)?.Code ?? string.Empty;

    /// <summary>Asked or looked for, and answered with no or none.</summary>
    public static bool IsDenied(Observation observation) => observation.Value is CodeableConcept concept
        && !TellingWhenDenied.Contains(Code(observation))
        && concept.Coding.Exists(coding => (coding.System == CodeSystems.Snomed && coding.Code == Snomed.Absent.Code)
            || Denials.Contains((coding.System, coding.Code)));

    /// <summary>Something was found, measured, dated or told.</summary>
    public static bool IsFound(Observation observation) => observation.Value is not null && !IsDenied(observation) && !IsPossibleCause(observation);

    /// <summary>A guess to ask about, never a finding.</summary>
    public static bool IsPossibleCause(Observation observation) => Code(observation) == LocalCodes.PossibleCause.Code;

    public static bool IsDeposit(Observation observation) => Code(observation) == LocalCodes.Deposit.Code;

    public static bool IsResidual(Observation observation) => Code(observation) == LocalCodes.Residual.Code;

    public static bool IsAdvice(Observation observation) => Code(observation).StartsWith("advice-", StringComparison.Ordinal);

    /// <summary>A finding of canal or drum, negative and not seen ones included.</summary>
    public static bool IsOtoscopy(Observation observation) =>
        Code(observation).StartsWith("canal-", StringComparison.Ordinal) || Code(observation).StartsWith("drum-", StringComparison.Ordinal);

    public static bool IsAt(Observation observation, Term moment) =>
        observation.Category.Exists(category => category.Coding.Exists(coding => coding.System == moment.System && coding.Code == moment.Code));
}
