using EarReferral.Triage.Rules;
using Hl7.Fhir.Model;

namespace EarReferral.Triage.Evaluation;

/// <summary>
/// Answers a part of a condition without the FHIRPath engine: a variable, a comparison, <c>exists()</c> and <c>where()</c> over such.
/// Everything else is left to the engine. A test compares both on every vector; the reason is speed, to load and to decide.
/// </summary>
internal static class DirectAnswer
{
    private delegate Certainty Test(Facts facts, PrimitiveType? current);

    private delegate PrimitiveType? Reading(Facts facts, PrimitiveType? current);

    /// <summary>The test, or null for a part of another form.</summary>
    public static Func<Facts, Certainty>? For(ConditionSyntax leaf) => TestOf(leaf) is { } test ? facts => test(facts, null) : null;

    private static Test? TestOf(ConditionSyntax syntax)
    {
        switch (syntax)
        {
            case ConditionSyntax.Compare compare when ReadingOf(compare.Left) is { } left && ReadingOf(compare.Right) is { } right && Comparison(compare.Operator) is { } verdict:
                return (facts, current) => verdict(left(facts, current), right(facts, current));
            case ConditionSyntax.Exists { Criterion: null } exists when ReadingOf(exists.Focus) is { } focus:
                return (facts, current) => Of(focus(facts, current) is not null);
            case ConditionSyntax.Exists { Criterion: { } criterion } exists when ReadingOf(exists.Focus) is { } focus && TestOf(criterion) is { } test:
                return (facts, current) => Of(focus(facts, current) is { } value && test(facts, value) is Certainty.True);
            case ConditionSyntax.Not negation when TestOf(negation.Operand) is { } operand:
                return (facts, current) => (Certainty)((int)Certainty.True - (int)operand(facts, current));
            case ConditionSyntax.And both when TestOf(both.Left) is { } left && TestOf(both.Right) is { } right:
                return (facts, current) => (Certainty)Math.Min((int)left(facts, current), (int)right(facts, current));
            case ConditionSyntax.Or either when TestOf(either.Left) is { } left && TestOf(either.Right) is { } right:
                return (facts, current) => (Certainty)Math.Max((int)left(facts, current), (int)right(facts, current));
            default:
                return ReadingOf(syntax) is { } reading ? (facts, current) => reading(facts, current) is FhirBoolean { Value: { } truth } ? Of(truth) : Certainty.Unknown : null;
        }
    }

    private static Reading? ReadingOf(ConditionSyntax syntax)
    {
        switch (syntax)
        {
            case ConditionSyntax.Variable { Name: "side" }:
                return (facts, _) => facts.Side;
            case ConditionSyntax.Variable variable:
                return (facts, _) => facts[variable.Name].Value;
            case ConditionSyntax.This:
                return (_, current) => current;
            case ConditionSyntax.Where where when ReadingOf(where.Focus) is { } focus && TestOf(where.Criterion) is { } test:
                return (facts, current) => focus(facts, current) is { } value && test(facts, value) is Certainty.True ? value : null;
            case ConditionSyntax.Text text:
                var words = new FhirString(text.Value);
                return (_, _) => words;
            case ConditionSyntax.Number number:
                var amount = new Integer(number.Value);
                return (_, _) => amount;
            case ConditionSyntax.Truth truth:
                var constant = new FhirBoolean(truth.Value);
                return (_, _) => constant;
            default:
                return null;
        }
    }

    /// <summary>A comparison of two values of one sort, checked at load; without either of them it is unknown.</summary>
    private static Func<PrimitiveType?, PrimitiveType?, Certainty>? Comparison(string comparator) => comparator switch
    {
        "=" => (left, right) => Same(left, right) is { } same ? Of(same) : Certainty.Unknown,
        "!=" => (left, right) => Same(left, right) is { } same ? Of(!same) : Certainty.Unknown,
        "<" => (left, right) => Order(left, right) is { } sign ? Of(sign < 0) : Certainty.Unknown,
        "<=" => (left, right) => Order(left, right) is { } sign ? Of(sign <= 0) : Certainty.Unknown,
        ">" => (left, right) => Order(left, right) is { } sign ? Of(sign > 0) : Certainty.Unknown,
        ">=" => (left, right) => Order(left, right) is { } sign ? Of(sign >= 0) : Certainty.Unknown,
        _ => null,
    };

    private static bool? Same(PrimitiveType? left, PrimitiveType? right) => (left, right) switch
    {
        (FhirString { Value: { } one }, FhirString { Value: { } other }) => one == other,
        (FhirBoolean { Value: { } one }, FhirBoolean { Value: { } other }) => one == other,
        _ => Order(left, right) is { } sign ? sign == 0 : null,
    };

    private static int? Order(PrimitiveType? left, PrimitiveType? right) => (Number(left), Number(right)) is ({ } one, { } other) ? one.CompareTo(other) : null;

    private static decimal? Number(PrimitiveType? value) => value switch
    {
        Integer number => number.Value,
        FhirDecimal number => number.Value,
        _ => null,
    };

    private static Certainty Of(bool truth) => truth ? Certainty.True : Certainty.False;
}
