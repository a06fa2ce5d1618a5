using EarReferral.Triage.Decisions;
using EarReferral.Triage.Rules;

namespace EarReferral.Triage.Evaluation;

/// <summary>What one rule says about one ear or the patient.</summary>
/// <param name="Holds">Whether it fires, does not, or cannot be excluded.</param>
/// <param name="Used">The known facts that its condition names, when it fires.</param>
/// <param name="Missing">The variables that keep it open, when it cannot be excluded.</param>
internal sealed record RuleEvaluation(Certainty Holds, IReadOnlyList<Fact> Used, IReadOnlyList<Variable> Missing)
{
    private static readonly RuleEvaluation Silent = new(Certainty.False, [], []);

    public static RuleEvaluation Evaluate(CompiledRule rule, Facts facts, string? side)
    {
        var ranges = rule.ElapsedTimes.Select(name => facts[name]).Where(fact => fact.Latest is not null).ToList();
        var readings = Readings(facts, ranges, side);
        var (holds, decisive) = Combine(rule, [.. readings.Select(reading => (rule.Condition.Holds(reading), reading))]);
        return holds switch
        {
            Certainty.True => new RuleEvaluation(holds, [.. rule.VariableNames.Select(name => facts[name]).Where(fact => fact.Value is not null)], []),
            Certainty.False => Silent,
            Certainty.Unknown => new RuleEvaluation(holds, [], Asked(rule, decisive, ranges)),
        };
    }

    /// <summary>
    /// A date known only to month or year is read at both ends. Emergency rules must agree on all readings, else they cannot be excluded;
    /// less urgent rules take the more urgent reading. Each elapsed time is compared once per rule (checked at load),
    /// so the ends decide for everything between.
    /// </summary>
    private static (Certainty Holds, Facts? Decisive) Combine(CompiledRule rule, IReadOnlyList<(Certainty Holds, Facts Reading)> readings)
    {
        if (readings.All(reading => reading.Holds == readings[0].Holds))
        {
            return (readings[0].Holds, readings[0].Reading);
        }

        if (rule.Rule.Tier is not (Tier.T0 or Tier.T1) && readings.Any(reading => reading.Holds is Certainty.True))
        {
            return (Certainty.True, null);
        }

        return (Certainty.Unknown, readings.FirstOrDefault(reading => reading.Holds is Certainty.Unknown).Reading);
    }

    private static List<Facts> Readings(Facts facts, IReadOnlyList<Fact> ranges, string? side)
    {
        List<Facts> readings = [facts];
        foreach (var range in ranges)
        {
            readings.AddRange(readings.ConvertAll(reading => reading.With([range with { Value = range.Latest }], side)));
        }

        return readings;
    }

    private static List<Variable> Asked(CompiledRule rule, Facts? facts, IReadOnlyList<Fact> ranges)
    {
        if (facts is null)
        {
            return [.. ranges.Select(range => range.Variable)];
        }

        var open = new List<Leaf>();
        rule.Condition.CollectOpen(facts, open);
        var names = open.SelectMany(leaf => leaf.Variables).Where(facts.Has).Distinct().ToList();
        var missing = names.Select(name => facts[name]).Where(fact => fact.Value is null).Select(fact => fact.Variable).ToList();

        // A leaf that is open although all its variables are known failed to evaluate: its variables are asked again.
        return missing.Count > 0 ? missing : [.. names.Select(name => facts[name].Variable)];
    }
}
