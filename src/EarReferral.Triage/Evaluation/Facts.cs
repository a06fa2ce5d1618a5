using Hl7.Fhir.Model;
using Hl7.FhirPath;

namespace EarReferral.Triage.Evaluation;

/// <summary>The values of all variables for one ear or the patient, and the leaves already answered from them.</summary>
internal sealed class Facts
{
    /// <summary>Any single item: comparisons on an empty focus would all be empty.</summary>
    private static readonly IReadOnlyList<PocoNode> Focus = [PocoNode.ForPrimitive(new FhirBoolean(true))];

    private readonly Dictionary<string, Fact> values;
    private readonly Lazy<EvaluationContext> context;
    private readonly Certainty?[] answers;

    public Facts(IReadOnlyList<Fact> facts, int leafCount, string? side)
    {
        values = facts.ToDictionary(fact => fact.Variable.Name);
        answers = new Certainty?[leafCount];
        Side = side is null ? null : new FhirString(side);
        context = new Lazy<EvaluationContext>(() => ContextOf(facts, Side));
    }

    /// <summary>The side that these facts are about, <c>right</c> or <c>left</c>; null for the patient.</summary>
    public FhirString? Side { get; }

    public Fact this[string variable] => values[variable];

    public bool Has(string variable) => values.ContainsKey(variable);

    /// <summary>Answers a leaf. An error or more than one result is unknown, never false: could not check is not "no".</summary>
    public Certainty Answer(Leaf leaf) => answers[leaf.Number] ??= leaf.Direct is { } test ? test(this) : Evaluate(leaf.Compiled.Value);

    /// <summary>What the FHIRPath engine says to an undivided expression.</summary>
    public Certainty Evaluate(CompiledExpression expression)
    {
        try
        {
            return Read(expression(Focus, context.Value));
        }
#pragma warning disable CA1031 // The engine documents no exception types; whatever it throws, the condition could not be checked.
        catch (Exception)
#pragma warning restore CA1031
        {
            return Certainty.Unknown;
        }
    }

    /// <summary>The single result of an expression, for the check at load that it is Boolean.</summary>
    public object? Result(CompiledExpression expression) => expression(Focus, context.Value).Select(node => node.GetValue()).SingleOrDefault();

    /// <summary>The same facts with elapsed times read at their other end.</summary>
    public Facts With(IReadOnlyList<Fact> replaced, string? side) =>
        new([.. values.Values.Where(fact => replaced.All(other => other.Variable != fact.Variable)), .. replaced], answers.Length, side);

    private static Certainty Read(IEnumerable<PocoNode> result)
    {
        var certainty = Certainty.Unknown;
        var count = 0;
        foreach (var node in result)
        {
            count++;
            certainty = node.GetValue() switch { true => Certainty.True, false => Certainty.False, _ => Certainty.Unknown };
        }

        return count == 1 ? certainty : Certainty.Unknown;
    }

    private static EvaluationContext ContextOf(IReadOnlyList<Fact> facts, FhirString? side)
    {
        var environment = new Dictionary<string, IEnumerable<PocoNode>>(facts.Count + 1);
        foreach (var fact in facts)
        {
            environment[fact.Variable.Name] = Nodes(fact.Value);
        }

        environment["side"] = Nodes(side);
        return new EvaluationContext { Environment = environment };
    }

    private static IReadOnlyList<PocoNode> Nodes(PrimitiveType? value) => value is null ? [] : [PocoNode.ForPrimitive(value)];
}
