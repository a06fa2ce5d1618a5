using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using Hl7.Fhir.Model;

namespace EarReferral.Triage.Rules;

/// <summary>Checks of rules that need the declared variables: known names, Boolean results, safe use of partial dates.</summary>
internal sealed class RuleBookCheck(IReadOnlyDictionary<string, Variable> variables, List<string> problems)
{
    /// <param name="rules">The rules.</param>
    /// <param name="leafCount">How many leaves they share.</param>
    /// <param name="withEngine">Evaluates every part by the FHIRPath library too, and not only those that nothing else can read.</param>
    public void Run(IReadOnlyList<CompiledRule> rules, int leafCount, bool withEngine)
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
            CheckSorts(rules);
            CheckResults(rules, leafCount, withEngine ? _ => true : leaf => leaf.Syntax is null);
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

    /// <summary>A partial date is read at both ends only; that is enough as long as a rule compares it in one direction.</summary>
    private void CheckElapsedTimes(CompiledRule compiled)
    {
        var between = Compared(compiled.Condition, negated: false).Distinct()
            .Where(compared => variables.TryGetValue(compared.Name, out var variable) && variable.IsElapsedTime)
            .GroupBy(compared => compared.Name).Where(group => group.Count() > 1);
        foreach (var group in between)
        {
            problems.Add($"{compiled.Rule.Id}.json: %{group.Key} is compared in both directions, so a partial date between the limits would be missed");
        }
    }

    /// <summary>Directions in which more of an elapsed time makes the condition truer; <c>not()</c> turns them round.</summary>
    private static IEnumerable<(string Name, char Direction)> Compared(Evaluation.Condition condition, bool negated) => condition switch
    {
        Evaluation.Condition.And both => Compared(both.Left, negated).Concat(Compared(both.Right, negated)),
        Evaluation.Condition.Or either => Compared(either.Left, negated).Concat(Compared(either.Right, negated)),
        Evaluation.Condition.Not negation => Compared(negation.Operand, !negated),
        // The test counts for one branch and against the other.
        Evaluation.Condition.Choice choice => Compared(choice.Test, negated).Concat(Compared(choice.Test, !negated))
            .Concat(Compared(choice.Then, negated)).Concat(Compared(choice.Otherwise, negated)),
        Leaf leaf => leaf.Compared.Select(compared => negated ? (compared.Name, ConditionCompiler.Flipped(compared.Direction)) : compared),
        _ => [],
    };

    private void CheckSorts(IReadOnlyList<CompiledRule> rules)
    {
        var sorts = new ConditionSorts(variables);
        foreach (var compiled in rules)
        {
            foreach (var leaf in compiled.Condition.Leaves)
            {
                problems.AddRange((leaf.Syntax is { } syntax ? sorts.Check(syntax) : []).Select(problem => $"{compiled.Rule.Id}.json: {problem}"));
            }
        }
    }

    private void CheckResults(IReadOnlyList<CompiledRule> rules, int leafCount, Func<Leaf, bool> chosen)
    {
        var sample = new Facts([.. variables.Values.Select(variable => new Fact(variable, Sample(variable.Kind)))], leafCount, "right");
        foreach (var compiled in rules)
        {
            foreach (var leaf in compiled.Condition.Leaves.Where(chosen))
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
            return sample.Result(leaf.Compiled.Value);
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
        VariableKind.Code or VariableKind.Text => new FhirString("sample"),
        VariableKind.Quantity or VariableKind.HoursSince => new FhirDecimal(1),
        VariableKind.DaysSince or VariableKind.Age or VariableKind.AudiogramWorseRun => new Integer(1),
    };
}
