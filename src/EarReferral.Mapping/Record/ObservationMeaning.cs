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

    private static readonly HashSet<string> CodesOfNothing = new(StringComparer.Ordinal) { "none", "never", "nothing" };

    /// <summary>Local code of what was observed; empty for what is not ours.</summary>
    public static string Code(Observation observation) =>
        observation.Code?.Coding.FirstOrDefault(coding => coding.System == CodeSystems.Finding)?.Code ?? string.Empty;

    /// <summary>Asked or looked for, and answered with no or none.</summary>
    public static bool IsDenied(Observation observation) => observation.Value is CodeableConcept concept
        && !TellingWhenDenied.Contains(Code(observation))
        && concept.Coding.Exists(coding => (coding.System == CodeSystems.Snomed && coding.Code == Snomed.Absent.Code)
            || (coding.System?.StartsWith(CodeSystems.Base, StringComparison.Ordinal) is true && CodesOfNothing.Contains(coding.Code ?? string.Empty)));

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
