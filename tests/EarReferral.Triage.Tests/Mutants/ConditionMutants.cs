using EarReferral.Triage.Rules;

namespace EarReferral.Triage.Tests.Mutants;

/// <summary>Every single small change of a condition: the mistakes that a hand makes when it writes or edits a rule.</summary>
/// <param name="variables">The declared variables, for the swap of sides.</param>
internal sealed class ConditionMutants(IReadOnlyDictionary<string, Variable> variables)
{
    private static readonly ConditionSyntax Empty = new ConditionSyntax.Where(new ConditionSyntax.Truth(true), new ConditionSyntax.Truth(false));

    /// <summary>The changed conditions, each with what was changed; equal ones once.</summary>
    public IReadOnlyList<(string Change, ConditionSyntax Tree)> Of(ConditionSyntax condition) =>
        [.. Changed(condition, truth: true).Where(mutant => mutant.Tree != condition).DistinctBy(mutant => mutant.Tree)];

    private IEnumerable<(string Change, ConditionSyntax Tree)> Changed(ConditionSyntax syntax, bool truth)
    {
        foreach (var replacement in Replacements(syntax, truth))
        {
            yield return ($"{syntax} -> {replacement}", replacement);
        }

        for (var index = 0; index < syntax.Children.Count; index++)
        {
            foreach (var (change, tree) in Changed(syntax.Children[index], IsTruth(syntax, index)))
            {
                List<ConditionSyntax> children = [.. syntax.Children];
                children[index] = tree;
                yield return (change, syntax.With(children));
            }
        }
    }

    private static bool IsTruth(ConditionSyntax parent, int child) => parent switch
    {
        ConditionSyntax.Compare => false,
        ConditionSyntax.Exists or ConditionSyntax.Where => child == 1,
        _ => true,
    };

    private IEnumerable<ConditionSyntax> Replacements(ConditionSyntax syntax, bool truth)
    {
        IEnumerable<ConditionSyntax> own = syntax switch
        {
            ConditionSyntax.And both => [new ConditionSyntax.Or(both.Left, both.Right), both.Left, both.Right],
            ConditionSyntax.Or either => [new ConditionSyntax.And(either.Left, either.Right), either.Left, either.Right],
            ConditionSyntax.Not negation => [negation.Operand],
            ConditionSyntax.Choice choice => [choice.Then, choice.Otherwise],
            ConditionSyntax.Compare compare => [.. Neighbours(compare.Operator).Select(other => compare with { Operator = other }), .. OtherSide(compare)],
            ConditionSyntax.Number number => [new ConditionSyntax.Number(number.Value - 1), new ConditionSyntax.Number(number.Value + 1)],
            ConditionSyntax.Text => [new ConditionSyntax.Text("another-code")],
            ConditionSyntax.Truth value => [new ConditionSyntax.Truth(!value.Value)],
            ConditionSyntax.Variable variable => OtherSide(variable),
            _ => [],
        };
        return truth && syntax is not (ConditionSyntax.And or ConditionSyntax.Or or ConditionSyntax.Not or ConditionSyntax.Choice or ConditionSyntax.Truth)
            ? own.Concat([new ConditionSyntax.Not(syntax), new ConditionSyntax.Truth(true), Empty])
            : own;
    }

    private static string[] Neighbours(string comparator) => comparator switch
    {
        "=" => ["!="],
        "!=" => ["="],
        "<" => ["<=", ">"],
        "<=" => ["<", ">="],
        ">" => [">=", "<"],
        ">=" => [">", "<="],
        _ => [],
    };

    /// <summary>The variable of the other ear, where one is declared and says the same thing.</summary>
    private IEnumerable<ConditionSyntax> OtherSide(ConditionSyntax.Variable variable)
    {
        var name = variable.Name;
        string[] others = [
            "other" + char.ToUpperInvariant(name[0]) + name[1..],
            name.StartsWith("other", StringComparison.Ordinal) ? char.ToLowerInvariant(name[5]) + name[6..] : "",
            name.StartsWith("right", StringComparison.Ordinal) ? "left" + name[5..] : "",
            name.StartsWith("left", StringComparison.Ordinal) ? "right" + name[4..] : "",
        ];
        return others.Where(variables.ContainsKey).Select(other => new ConditionSyntax.Variable(other));
    }

    private static IEnumerable<ConditionSyntax> OtherSide(ConditionSyntax.Compare compare) => compare.Right is not ConditionSyntax.Variable { Name: "side" } ? [] :
    [
        new ConditionSyntax.Or(
            new ConditionSyntax.And(compare with { Left = compare.Right, Right = new ConditionSyntax.Text("right") }, compare with { Right = new ConditionSyntax.Text("left") }),
            new ConditionSyntax.And(compare with { Left = compare.Right, Right = new ConditionSyntax.Text("left") }, compare with { Right = new ConditionSyntax.Text("right") })),
    ];
}
