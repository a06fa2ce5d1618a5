using Hl7.FhirPath;
using Hl7.FhirPath.Expressions;

namespace EarReferral.Triage.Evaluation;

/// <summary>
/// Splits conditions by the FHIRPath library's own parser. It reads all of FHIRPath, but takes a hundredth of a second for each
/// condition, so that it sees only conditions outside the part of the language that <see cref="Rules.ConditionParser"/> reads.
/// </summary>
/// <param name="nextNumber">Numbers the leaves.</param>
internal sealed class EngineConditions(Func<int> nextNumber)
{
    private static readonly HashSet<string> OrderOperators = ["<", "<=", ">", ">="];

    private readonly FhirPathCompiler compiler = new();
    private readonly Dictionary<string, Leaf> leaves = [];

    /// <summary>Compiles a condition; throws what the FHIRPath compiler throws for text that is not FHIRPath.</summary>
    public Condition Compile(string condition) => Split(compiler.Parse(condition));

    /// <summary>The undivided expression, as the FHIRPath engine alone would evaluate it.</summary>
    public CompiledExpression CompileWhole(string expression) => compiler.Compile(expression);

    private Condition Split(Expression expression) => expression switch
    {
        BracketExpression bracket => Split(bracket.Operand),
        // The operands are the arguments: Left and Right of this library give the focus and the left operand.
        BinaryExpression { Op: "and" } both when both.Arguments.ToList() is [var left, var right] => new Condition.And(Split(left), Split(right)),
        BinaryExpression { Op: "or" } either when either.Arguments.ToList() is [var left, var right] => new Condition.Or(Split(left), Split(right)),
        FunctionCallExpression { FunctionName: "not" } negation => new Condition.Not(Split(negation.Focus)),
        FunctionCallExpression { FunctionName: "iif" } choice when choice.Arguments.ToList() is [var test, var then, var otherwise]
            => new Condition.Choice(Split(test), Split(then), Split(otherwise)),
        _ => LeafOf(expression),
    };

    private Leaf LeafOf(Expression expression)
    {
        var key = KeyOf(expression);
        if (!leaves.TryGetValue(key, out var leaf))
        {
            var parts = Parts(expression).ToList();
            // The engine answers false where FHIRPath says empty: "in" with an empty left side would turn "not asked" into "no".
            if (parts.OfType<BinaryExpression>().FirstOrDefault(part => part.Op is "in" or "contains" or "~" or "!~" or "implies" or "xor") is { } forbidden)
            {
                throw new FormatException($"operator '{forbidden.Op}' is not allowed in a condition, because it may answer false for a missing value");
            }

            // A bare word is a path from nowhere and would be empty for ever.
            if (parts.OfType<FunctionCallExpression>().Any(part => part.FunctionName == "builtin.children"))
            {
                throw new FormatException("a condition names variables only, no path of its own");
            }

            leaf = new Leaf(
                nextNumber(),
                [.. Names(parts)],
                [.. parts.OfType<BinaryExpression>().Where(part => OrderOperators.Contains(part.Op)).SelectMany(part => Names(Parts(part)).Select(name => (name, part.Op[0])))],
                new Lazy<CompiledExpression>(() => compiler.Compile(expression)));
            leaves.Add(key, leaf);
        }

        return leaf;
    }

    /// <summary>Equal for equal expressions, so that rules share the leaves they have in common.</summary>
    private static string KeyOf(Expression expression) => expression switch
    {
        BracketExpression bracket => KeyOf(bracket.Operand),
        AxisExpression axis => "$" + axis.AxisName,
        VariableRefExpression reference => "%" + reference.Name,
        ConstantExpression constant => $"{constant.Value?.GetType().Name}:{constant.Value}:{constant.Unit}",
        FunctionCallExpression call => $"{(call.Focus is null ? "" : KeyOf(call.Focus))}.{call.FunctionName}({string.Join(',', call.Arguments.Select(KeyOf))})",
        _ => throw new FormatException($"a {expression.GetType().Name} is not allowed in a condition"),
    };

    private static IEnumerable<string> Names(IEnumerable<Expression> parts) =>
        parts.Where(part => part is VariableRefExpression and not AxisExpression).Select(part => ((VariableRefExpression)part).Name).Distinct();

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
