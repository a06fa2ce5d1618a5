using Hl7.FhirPath;
using Hl7.FhirPath.Expressions;

namespace EarReferral.Triage.Evaluation;

/// <summary>Splits FHIRPath conditions at <c>and</c>, <c>or</c>, <c>not()</c> and <c>iif()</c> and compiles the leaves once.</summary>
internal sealed class ConditionCompiler
{
    private static readonly HashSet<string> OrderOperators = ["<", "<=", ">", ">="];

    private readonly FhirPathCompiler compiler = new();
    private readonly Dictionary<Expression, Leaf> leaves = [];

    public int LeafCount => leaves.Count;

    /// <summary>Compiles a condition; throws what the FHIRPath compiler throws for text that is not FHIRPath.</summary>
    public Condition Compile(string condition) => Split(compiler.Parse(condition));

    /// <summary>The undivided expression, as the FHIRPath engine alone would evaluate it.</summary>
    public CompiledExpression CompileWhole(string expression) => compiler.Compile(expression);

    private Condition Split(Expression expression) => expression switch
    {
        BracketExpression bracket => Split(bracket.Operand),
        BinaryExpression { Op: "and" } and => new Condition.And(Split(and.Left), Split(and.Right)),
        BinaryExpression { Op: "or" } or => new Condition.Or(Split(or.Left), Split(or.Right)),
        FunctionCallExpression { FunctionName: "not" } not => new Condition.Not(Split(not.Focus)),
        FunctionCallExpression { FunctionName: "iif" } choice when choice.Arguments.ToList() is [var test, var then, var otherwise]
            => new Condition.Choice(Split(test), Split(then), Split(otherwise)),
        _ => LeafOf(expression),
    };

    private Leaf LeafOf(Expression expression)
    {
        if (!leaves.TryGetValue(expression, out var leaf))
        {
            var parts = Parts(expression).ToList();
            // The engine answers false where FHIRPath says empty: "in" with an empty left side would turn "not asked" into "no".
            if (parts.OfType<BinaryExpression>().FirstOrDefault(part => part.Op is "in" or "contains" or "~" or "!~" or "implies" or "xor") is { } forbidden)
            {
                throw new FormatException($"operator '{forbidden.Op}' is not allowed in a condition, because it may answer false for a missing value");
            }

            leaf = new Leaf(
                leaves.Count,
                [.. Names(parts)],
                [.. parts.OfType<BinaryExpression>().Where(part => OrderOperators.Contains(part.Op)).SelectMany(part => Names(Parts(part)))],
                compiler.Compile(expression));
            leaves.Add(expression, leaf);
        }

        return leaf;
    }

    private static IEnumerable<string> Names(IEnumerable<Expression> parts) =>
        parts.OfType<VariableRefExpression>().Select(reference => reference.Name).Distinct();

    private static IEnumerable<Expression> Parts(Expression expression)
    {
        yield return expression;
        IEnumerable<Expression> children = expression switch
        {
            BracketExpression bracket => [bracket.Operand],
            FunctionCallExpression { Focus: { } focus } call => [focus, .. call.Arguments],
            FunctionCallExpression call => call.Arguments,
            _ => [],
        };
        foreach (var part in children.SelectMany(Parts))
        {
            yield return part;
        }
    }
}
