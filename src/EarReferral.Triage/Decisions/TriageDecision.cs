using EarReferral.Triage.History;

namespace EarReferral.Triage.Decisions;

/// <summary>What the red-flag rules say about one encounter, with every reason.</summary>
/// <param name="Tier">The most urgent tier of the rules that fired; <see cref="Tier.T4"/> when none did.</param>
/// <param name="Fired">Every rule that fired, most urgent first; T4 rules among them are notes about the method and never a reason to refer.</param>
/// <param name="Questions">What could not be excluded because nobody asked, most urgent first.</param>
/// <param name="EvaluatedAt">The decision instant that the rules were evaluated at.</param>
/// <param name="RuleBook">The rule set that decided.</param>
public sealed record TriageDecision(
    Tier Tier,
    IReadOnlyList<FiredRule> Fired,
    IReadOnlyList<OpenQuestion> Questions,
    DateTimeOffset EvaluatedAt,
    RuleBookVersion RuleBook)
{
    /// <summary>True while no T0 or T1 question is open; only then does the encounter count as triaged.</summary>
    public bool IsTriaged => Questions.All(question => question.Tier is not (Tier.T0 or Tier.T1));

    /// <summary>T2 and T3 rules that hold but were investigated before and are unchanged; shown as a note, never T0 or T1.</summary>
    public IReadOnlyList<FiredRule> Suppressed { get; init; } = [];

    /// <summary>What earlier visits said and was decided with; what this visit contradicts was not used.</summary>
    public IReadOnlyList<HistoryFact> History { get; init; } = [];

    /// <summary>The earliest deadline of the rules that fired; a T4 rule is a note about the method and has none.</summary>
    public DateTimeOffset? Due => Fired.Where(rule => rule.Tier is not Tier.T4).Select(rule => (DateTimeOffset?)rule.Due).Min();
}

/// <summary>Urgency tiers, least urgent first, so that a greater value is more urgent.</summary>
public enum Tier
{
    /// <summary>No referral.</summary>
    T4,

    /// <summary>Routine, local pathway.</summary>
    T3,

    /// <summary>Suspected cancer pathway.</summary>
    T2C,

    /// <summary>Urgent, within 2 weeks.</summary>
    T2,

    /// <summary>Immediate, within 24 hours.</summary>
    T1,

    /// <summary>Emergency, the same visit.</summary>
    T0,
}

/// <summary>How strongly the source puts it.</summary>
public enum RuleStrength { Must, Consider }

/// <summary>The patient's own side that a rule fired for; null in the decision means the whole patient.</summary>
public enum DecisionSide { Right, Left }

/// <summary>Version and content hash of a rule set.</summary>
/// <param name="Version">Version of the set.</param>
/// <param name="Sha256">SHA-256 over the files of the set, lower-case hexadecimal.</param>
public sealed record RuleBookVersion(string Version, string Sha256);

/// <summary>A rule that fired.</summary>
/// <param name="Id">Rule identifier such as <c>R-HL-01</c>.</param>
/// <param name="Canonical">Canonical URL with version of the PlanDefinition.</param>
/// <param name="Title">Name of the rule.</param>
/// <param name="Tier">Tier of the rule.</param>
/// <param name="Strength">How strongly the source puts it.</param>
/// <param name="Side">Ear that it fired for, or null for the whole patient.</param>
/// <param name="Destination">Kind of receiver: <c>ent</c>, <c>emergency</c>, <c>gp</c>, <c>audiology</c>, <c>crisis-team</c>.</param>
/// <param name="Due">Deadline, from the decision instant.</param>
/// <param name="TimeLimit">The time limit in words, such as "within 24 hours".</param>
/// <param name="Reason">One sentence for the clinician.</param>
/// <param name="PatientText">One sentence for the patient.</param>
/// <param name="Source">The published source, with how sure it is.</param>
/// <param name="Inputs">The facts that made it fire.</param>
public sealed record FiredRule(
    string Id,
    string Canonical,
    string Title,
    Tier Tier,
    RuleStrength Strength,
    DecisionSide? Side,
    string Destination,
    DateTimeOffset Due,
    string TimeLimit,
    string Reason,
    string PatientText,
    string Source,
    IReadOnlyList<RuleInput> Inputs)
{
    /// <summary>True when no guideline asks for this; then nobody may be told that a source says so.</summary>
    public bool IsOwnRule => Source.StartsWith("Our own rule", StringComparison.Ordinal) || Source.StartsWith("Local policy of ", StringComparison.Ordinal);
}

/// <summary>A fact that a rule used.</summary>
/// <param name="Variable">Name of the variable in the rule.</param>
/// <param name="Value">Its value in FHIRPath text form, or null when unknown.</param>
/// <param name="ObservationId">Id of the Observation it came from, where it came from one.</param>
public sealed record RuleInput(string Variable, string? Value, string? ObservationId);

/// <summary>A question that must be answered before a rule can be excluded.</summary>
/// <param name="RuleId">Rule that could fire.</param>
/// <param name="Tier">Tier of that rule.</param>
/// <param name="Side">Ear, or null for the whole patient.</param>
/// <param name="Text">The question as the clinician reads it.</param>
/// <param name="FindingCodes">Codes of the findings whose answer is missing.</param>
public sealed record OpenQuestion(string RuleId, Tier Tier, DecisionSide? Side, string Text, IReadOnlyList<string> FindingCodes)
{
    /// <summary>What has to be asked, fact by fact; the text and the codes above are these taken together.</summary>
    public IReadOnlyList<AskedFact> Facts { get; init; } = [];
}

/// <summary>One fact that nobody asked.</summary>
/// <param name="Question">The question as the clinician reads it.</param>
/// <param name="Side">The ear that the fact is about, which can be the other ear than that of the rule; null for the whole patient.</param>
/// <param name="FindingCodes">Codes of the findings that answer it.</param>
public sealed record AskedFact(string Question, DecisionSide? Side, IReadOnlyList<string> FindingCodes);
