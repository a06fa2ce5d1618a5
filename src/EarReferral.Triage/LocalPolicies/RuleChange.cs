using EarReferral.Triage.Decisions;
using EarReferral.Triage.Rules;

namespace EarReferral.Triage.LocalPolicies;

/// <summary>What a site changes about one published rule; null stands for "as published".</summary>
/// <param name="Rule">Id of the PlanDefinition, so that variants with one number are told apart.</param>
/// <param name="Why">Why the site wants it, in a sentence.</param>
internal sealed record RuleChange(string Rule, string Why)
{
    /// <summary>The rule is taken out of the set.</summary>
    public bool Removes { get; init; }

    public Tier? Tier { get; init; }

    public Deadline? Deadline { get; init; }

    public string? TimeLimit { get; init; }

    public string? Destination { get; init; }

    /// <summary>FHIRPath that replaces the published condition.</summary>
    public string? Condition { get; init; }

    /// <summary>Sentence for the clinician.</summary>
    public string? Reason { get; init; }

    public string? PatientText { get; init; }

    public Acceptance? Accepted { get; init; }

    /// <summary>True where receiver or wording differ at most, so that the rule still says what its guideline asks for.</summary>
    public bool KeepsUrgency => !Removes && Tier is null && Deadline is null && Condition is null;
}
