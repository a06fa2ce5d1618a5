namespace EarReferral.Triage.Rules;

/// <summary>Checks without evaluating that a condition is Boolean and compares like with like; anything else would never be true.</summary>
/// <param name="variables">The declared variables; names were checked before.</param>
internal sealed class ConditionSorts(IReadOnlyDictionary<string, Variable> variables)
{
    private enum Sort { Truth, Text, Number }

    /// <summary>What is wrong with a condition or a part of one, in words.</summary>
    public IReadOnlyList<string> Check(ConditionSyntax condition)
    {
        var problems = new List<string>();
        Demand(condition, null, problems);
        return problems;
    }

    private void Demand(ConditionSyntax syntax, Sort? current, List<string> problems)
    {
        if (SortOf(syntax, current, problems) is not Sort.Truth and var other)
        {
            problems.Add($"{syntax} is not Boolean but {other}");
        }
    }

    private Sort? SortOf(ConditionSyntax syntax, Sort? current, List<string> problems)
    {
        switch (syntax)
        {
            case ConditionSyntax.Variable variable:
                return SortOf(variable.Name);
            case ConditionSyntax.This:
                return current;
            case ConditionSyntax.Text:
                return Sort.Text;
            case ConditionSyntax.Number:
                return Sort.Number;
            case ConditionSyntax.Truth:
                return Sort.Truth;
            case ConditionSyntax.Exists exists:
                var found = SortOf(exists.Focus, current, problems);
                if (exists.Criterion is { } criterion)
                {
                    Demand(criterion, found, problems);
                }

                return Sort.Truth;
            case ConditionSyntax.Where where:
                var value = SortOf(where.Focus, current, problems);
                Demand(where.Criterion, value, problems);
                return value;
            case ConditionSyntax.Compare compare:
                var (left, right) = (SortOf(compare.Left, current, problems), SortOf(compare.Right, current, problems));
                if (left != right || (compare.IsOrder && left is not Sort.Number))
                {
                    problems.Add($"{syntax} compares {left} with {right}, which is never true");
                }

                return Sort.Truth;
            default:
                foreach (var child in syntax.Children)
                {
                    Demand(child, current, problems);
                }

                return Sort.Truth;
        }
    }

    private Sort SortOf(string name) => name == "side" ? Sort.Text : variables[name].Kind switch
    {
        VariableKind.Boolean or VariableKind.AudiogramAsymmetry => Sort.Truth,
        VariableKind.Code or VariableKind.Text => Sort.Text,
        VariableKind.Quantity or VariableKind.DaysSince or VariableKind.HoursSince or VariableKind.Age or VariableKind.AudiogramWorseRun => Sort.Number,
    };
}
