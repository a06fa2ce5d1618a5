using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using Hl7.Fhir.Model;

namespace EarReferral.Triage.Rules;

/// <summary>Checks of rules that need the declared variables: known names, Boolean results, safe use of partial dates.</summary>
internal sealed class RuleBookCheck(IReadOnlyDictionary<string, Variable> variables, ICollection<string> problems)
{
    public void Run(IReadOnlyList<CompiledRule> rules, int leafCount)
    {
        foreach (var compiled in rules)
        {
            var rule = compiled.Rule;
            CheckNames(compiled);
            CheckElapsedTimes(compiled);
            if (rule.Suppressible && rule.Tier is Tier.T0 or Tier.T1)
            {
                problems.Add($"{rule.Id}.json: a {rule.Tier} rule can never be suppressed");
            }
        }

        if (problems.Count == 0)
        {
            CheckResults(rules, leafCount);
        }
    }

    private void CheckNames(CompiledRule compiled)
    {
        var rule = compiled.Rule;
        foreach (var name in compiled.Condition.Leaves.SelectMany(leaf => leaf.Variables).Distinct())
        {
            if (name == "side" ? rule.Level is RuleLevel.Patient : !variables.ContainsKey(name))
            {
                problems.Add($"{rule.Id}.json: unknown variable %{name}");
            }
            else if (rule.Level is RuleLevel.Patient && name != "side" && variables[name].Level is VariableLevel.Ear or VariableLevel.OtherEar)
            {
                problems.Add($"{rule.Id}.json: a rule for the patient cannot use %{name} of one ear");
            }
        }
    }

    /// <summary>A partial date is read at both ends only; that is enough as long as a rule compares it once.</summary>
    private void CheckElapsedTimes(CompiledRule compiled)
    {
        var twice = compiled.Condition.Leaves.Distinct().SelectMany(leaf => leaf.Compared)
            .Where(name => variables.TryGetValue(name, out var variable) && variable.IsElapsedTime)
            .GroupBy(name => name).Where(group => group.Count() > 1);
        foreach (var group in twice)
        {
            problems.Add($"{compiled.Rule.Id}.json: %{group.Key} is compared more than once, so a partial date between the limits would be missed");
        }
    }

    private void CheckResults(IReadOnlyList<CompiledRule> rules, int leafCount)
    {
        var sample = new Facts([.. variables.Values.Select(variable => new Fact(variable, Sample(variable.Kind)))], leafCount, "right");
        foreach (var compiled in rules)
        {
            foreach (var leaf in compiled.Condition.Leaves)
            {
                if (ResultOf(sample, leaf) is { } result and not bool)
                {
                    problems.Add($"{compiled.Rule.Id}.json: a part of the condition over {string.Join(", ", leaf.Variables)} is not Boolean but {result}");
                }
            }
        }
    }

    private static object? ResultOf(Facts sample, Leaf leaf)
    {
        try
        {
            return sample.Result(leaf.Compiled);
        }
#pragma warning disable CA1031 // The engine documents no exception types; whatever it throws becomes a problem of the rule book.
        catch (Exception error)
#pragma warning restore CA1031
        {
            return error.Message;
        }
    }

    private static PrimitiveType Sample(VariableKind kind) => kind switch
    {
        VariableKind.Boolean or VariableKind.AudiogramAsymmetry => new FhirBoolean(true),
        VariableKind.Code => new FhirString("sample"),
        VariableKind.Quantity or VariableKind.HoursSince => new FhirDecimal(1),
        VariableKind.DaysSince or VariableKind.Age or VariableKind.AudiogramWorseRun => new Integer(1),
    };
}
