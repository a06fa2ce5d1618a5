using EarReferral.Triage.Evaluation;
using Hl7.FhirPath;

namespace EarReferral.Triage.Rules;

/// <summary>A rule with its condition ready to be evaluated.</summary>
/// <param name="Rule">The rule as published.</param>
/// <param name="Condition">The condition split at its logical operators.</param>
/// <param name="Whole">The condition undivided, compiled when first needed; a test compares its answers with <paramref name="Condition"/>.</param>
/// <param name="VariableNames">Variables of the condition in the order in which they first appear.</param>
/// <param name="ElapsedTimes">Those of them that a partial date makes a range.</param>
internal sealed record CompiledRule(
    Rule Rule, Condition Condition, Lazy<CompiledExpression> Whole, IReadOnlyList<string> VariableNames, IReadOnlyList<string> ElapsedTimes);
