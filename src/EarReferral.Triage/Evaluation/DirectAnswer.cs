using Hl7.Fhir.Model;
using Hl7.FhirPath.Expressions;
using Any = Hl7.Fhir.ElementModel.Types;
using Expression = Hl7.FhirPath.Expressions.Expression;

namespace EarReferral.Triage.Evaluation;

/// <summary>
/// Answers the commonest leaves without the FHIRPath engine: a variable, a comparison of a variable with a literal, and
/// <c>exists</c> over such a comparison. Everything else is left to the engine. A test compares both on every vector; the reason
/// is speed, about ten times.
/// </summary>
internal static class DirectAnswer
{
    /// <summary>The variable and its test, or null for a leaf of another form.</summary>
    public static (string Variable, Func<PrimitiveType?, Certainty> Test)? For(Expression leaf) => leaf switch
    {
        VariableRefExpression reference when IsVariable(reference) => (reference.Name, Truth),
        BinaryExpression binary when binary.Arguments.ToList() is [VariableRefExpression reference, ConstantExpression constant]
            && IsVariable(reference) && Comparison(binary.Op, constant) is { } test => (reference.Name, test),
        FunctionCallExpression { FunctionName: "exists", Focus: VariableRefExpression reference } exists when IsVariable(reference) =>
            exists.Arguments.ToList() switch
            {
                [] => (reference.Name, value => value is null ? Certainty.False : Certainty.True),
                [var criterion] when Criterion(criterion) is { } test =>
                    (reference.Name, value => value is not null && test(value) is Certainty.True ? Certainty.True : Certainty.False),
                _ => null,
            },
        _ => null,
    };

    private static bool IsVariable(VariableRefExpression reference) => reference is not AxisExpression && reference.Name != "side";

    private static Func<PrimitiveType?, Certainty>? Criterion(Expression criterion) => criterion switch
    {
        AxisExpression { AxisName: "this" } => Truth,
        BinaryExpression { Op: "or" } either when either.Arguments.ToList() is [var left, var right]
            && Criterion(left) is { } first && Criterion(right) is { } second => value => (Certainty)Math.Max((int)first(value), (int)second(value)),
        BinaryExpression binary when binary.Arguments.ToList() is [AxisExpression { AxisName: "this" }, ConstantExpression constant] => Comparison(binary.Op, constant),
        _ => null,
    };

    private static Certainty Truth(PrimitiveType? value) => value is FhirBoolean { Value: { } truth } ? Of(truth) : Certainty.Unknown;

    private static Func<PrimitiveType?, Certainty>? Comparison(string op, ConstantExpression constant) => (op, constant.Value) switch
    {
        ("=", Any.String text) => value => value is FhirString { Value: { } said } ? Of(said == text.Value) : Certainty.Unknown,
        ("!=", Any.String text) => value => value is FhirString { Value: { } said } ? Of(said != text.Value) : Certainty.Unknown,
        ("=", Any.Boolean truth) => value => value is FhirBoolean { Value: { } said } ? Of(said == truth.Value) : Certainty.Unknown,
        (_, Any.Integer number) when Order(op) is { } order => value => Number(value) is { } said ? Of(order(said.CompareTo(number.Value))) : Certainty.Unknown,
        _ => null,
    };

    private static Func<int, bool>? Order(string op) => op switch
    {
        "<" => sign => sign < 0,
        "<=" => sign => sign <= 0,
        ">" => sign => sign > 0,
        ">=" => sign => sign >= 0,
        _ => null,
    };

    private static decimal? Number(PrimitiveType? value) => value switch
    {
        Integer number => number.Value,
        FhirDecimal number => number.Value,
        _ => null,
    };

    private static Certainty Of(bool truth) => truth ? Certainty.True : Certainty.False;
}
