using EarReferral.Triage.History;

namespace EarReferral.Triage.Rules;

/// <summary>A named fact that rule conditions may use, declared once in the rule book.</summary>
/// <param name="Name">Name without the percent sign, such as <c>hearingChange</c>.</param>
/// <param name="Kind">What sort of value it holds.</param>
/// <param name="Level">Whose fact it is.</param>
/// <param name="FindingCodes">Codes of the findings that it reads; the first one that says something wins.</param>
/// <param name="Moment">Which otoscopy it reads, for otoscopy findings.</param>
/// <param name="Expression">Its published meaning: FHIRPath over a collection Bundle of the record, <c>%ear</c> being the SNOMED CT code of the side.</param>
/// <param name="Question">What the clinician is asked when it is missing.</param>
/// <param name="FalseWith">Variable whose <c>false</c> makes this one false as long as nothing else is recorded.</param>
public sealed record Variable(
    string Name,
    VariableKind Kind,
    VariableLevel Level,
    IReadOnlyList<string> FindingCodes,
    OtoscopyMoment Moment,
    string Expression,
    string Question,
    string? FalseWith)
{
    /// <summary>The findings that a clinician can record; derived facts are no answer that anybody gives.</summary>
    public IReadOnlyList<string> AskedFindings { get; } = [.. FindingCodes.Where(code => !HistoryFact.IsDerived(code))];

    /// <summary>True where a partial date or a date without time makes the value a range.</summary>
    public bool IsElapsedTime => Kind is VariableKind.DaysSince or VariableKind.HoursSince or VariableKind.Age;
}

/// <summary>Sorts of variables.</summary>
public enum VariableKind
{
    /// <summary>Present or absent, yes or no.</summary>
    Boolean,

    /// <summary>A kebab-case code of one of our own code systems.</summary>
    Code,

    /// <summary>The number of a quantity in its one declared unit.</summary>
    Quantity,

    /// <summary>Words.</summary>
    Text,

    /// <summary>Whole calendar days from a date to the decision, in the clinic's time zone.</summary>
    DaysSince,

    /// <summary>Elapsed hours from an instant to the decision, whatever the clocks on the wall did.</summary>
    HoursSince,

    /// <summary>Completed years of age at the decision, in the clinic's time zone.</summary>
    Age,

    /// <summary>Most neighbouring tested frequencies at which hearing is at least 30 dB worse than before.</summary>
    AudiogramWorseRun,

    /// <summary>Right and left differ by at least 15 dB at two neighbouring frequencies of 0.5, 1, 2, 4 and 8 kHz.</summary>
    AudiogramAsymmetry,
}

/// <summary>Whose fact a variable holds.</summary>
public enum VariableLevel { Ear, OtherEar, RightEar, LeftEar, Patient }

/// <summary>Which otoscopy a variable reads; <see cref="Latest"/> is after the procedure where that says something, else before.</summary>
public enum OtoscopyMoment { None, Before, After, Latest }
