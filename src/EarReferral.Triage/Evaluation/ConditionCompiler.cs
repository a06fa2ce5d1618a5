using EarReferral.Triage.Rules;
using Hl7.FhirPath;

namespace EarReferral.Triage.Evaluation;

/// <summary>Splits conditions at <c>and</c>, <c>or</c>, <c>not()</c> and <c>iif()</c>; equal parts become one leaf.</summary>
internal sealed class ConditionCompiler
{
    private readonly Lazy<EngineConditions> engine;
    private readonly Dictionary<ConditionSyntax, Leaf> leaves = [];

    public ConditionCompiler() => engine = new Lazy<EngineConditions>(() => new EngineConditions(() => LeafCount++));

    public int LeafCount { get; private set; }

    /// <summary>Compiles a condition that the engine's own parser reads; throws what that throws for text that is not FHIRPath.</summary>
    public Condition Compile(string condition) => engine.Value.Compile(condition);

    /// <summary>Compiles a condition that is a tree already.</summary>
    public Condition Compile(ConditionSyntax syntax) => syntax switch
    {
        ConditionSyntax.And both => new Condition.And(Compile(both.Left), Compile(both.Right)),
        ConditionSyntax.Or either => new Condition.Or(Compile(either.Left), Compile(either.Right)),
        ConditionSyntax.Not negation => new Condition.Not(Compile(negation.Operand)),
        ConditionSyntax.Choice choice => new Condition.Choice(Compile(choice.Test), Compile(choice.Then), Compile(choice.Otherwise)),
        _ => LeafOf(syntax),
    };

    /// <summary>The undivided expression, as the FHIRPath engine alone would evaluate it; compiled when first needed.</summary>
    public Lazy<CompiledExpression> CompileWhole(string expression) => new(() => engine.Value.CompileWhole(expression));

    private Leaf LeafOf(ConditionSyntax syntax)
    {
        if (!leaves.TryGetValue(syntax, out var leaf))
        {
            leaf = new Leaf(
                LeafCount++,
                [.. syntax.Parts.OfType<ConditionSyntax.Variable>().Select(variable => variable.Name).Distinct()],
                [.. Compared(syntax, [])],
                CompileWhole(syntax.ToString()),
                syntax,
                DirectAnswer.For(syntax));
            leaves.Add(syntax, leaf);
        }

        return leaf;
    }

    /// <summary>Every variable that a limit bears on, through <c>$this</c> too, seen from the variable's side of the comparison.</summary>
    private static IEnumerable<(string Name, char Direction)> Compared(ConditionSyntax syntax, IReadOnlyList<string> current) => syntax switch
    {
        ConditionSyntax.Compare { IsOrder: true } compare => Limited(compare.Left, current).Select(name => (name, compare.Operator[0]))
            .Concat(Limited(compare.Right, current).Select(name => (name, Flipped(compare.Operator[0])))),
        ConditionSyntax.Exists { Criterion: { } criterion } exists => Compared(exists.Focus, current).Concat(Compared(criterion, [.. Limited(exists.Focus, current)])),
        ConditionSyntax.Where where => Compared(where.Focus, current).Concat(Compared(where.Criterion, [.. Limited(where.Focus, current)])),
        _ => syntax.Children.SelectMany(child => Compared(child, current)),
    };

    private static IEnumerable<string> Limited(ConditionSyntax syntax, IReadOnlyList<string> current) => syntax.Parts.SelectMany(part => part switch
    {
        ConditionSyntax.Variable variable => [variable.Name],
        ConditionSyntax.This => current,
        _ => [],
    }).Distinct();

    internal static char Flipped(char direction) => direction is '<' ? '>' : '<';
}
