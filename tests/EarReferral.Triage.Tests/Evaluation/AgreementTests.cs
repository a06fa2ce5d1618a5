using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using EarReferral.Triage.Rules;
using EarReferral.Triage.Tests.Vectors;
using Hl7.Fhir.Model;
using Hl7.FhirPath;

namespace EarReferral.Triage.Tests.Evaluation;

/// <summary>The fast ways of the engine against what is published, on the record of every vector.</summary>
public sealed class AgreementTests
{
    private static readonly FhirPathCompiler Compiler = new();

    public static TheoryData<string> Ids { get; } = [.. RuleVector.All.Select(vector => vector.Id)];

    [Theory]
    [MemberData(nameof(Ids))]
    public void Split_condition_agrees_with_the_undivided_expression(string id)
    {
        var (binder, _) = Record(id);
        foreach (var side in new[] { DecisionSide.Right, DecisionSide.Left })
        {
            var facts = new Facts(binder.Bind(RuleBookFiles.Book.Variables.Values, side), RuleBookFiles.Book.LeafCount, side.ToString().ToLowerInvariant());

            Assert.All(RuleBookFiles.Book.CompiledRules, rule => Assert.Equal((rule.Rule.Id, facts.Evaluate(rule.Whole.Value)), (rule.Rule.Id, rule.Condition.Holds(facts))));
        }
    }

    [Fact]
    public void Bound_variables_agree_with_their_published_expressions()
    {
        var compiled = RuleBookFiles.Book.Variables.Values
            .Where(variable => variable.Kind is not (VariableKind.AudiogramWorseRun or VariableKind.AudiogramAsymmetry))
            .Select(variable => (Variable: variable, Expression: Compiler.Compile(variable.Expression))).ToList();

        // Every fifth vector keeps the test short; the order of the files mixes all groups of rules.
        foreach (var vector in RuleVector.All.Where((_, index) => index % 5 == 0))
        {
            var (binder, bundle) = Record(vector.Id);
            foreach (var (variable, expression) in compiled)
            {
                var published = expression([bundle], Context("25577004", "89644007")).Select(node => Text(node.GetValue())).ToList();
                var bound = binder.Values(variable, DecisionSide.Right).Select(value => Text(value.Value)).ToList();

                Assert.True(published.SequenceEqual(bound), $"{vector.Id} %{variable.Name}: published [{string.Join(", ", published)}], bound [{string.Join(", ", bound)}]");
            }
        }
    }

    private static (VariableBinder Binder, PocoNode Bundle) Record(string id)
    {
        var vector = RuleVector.All.Single(candidate => candidate.Id == id);
        var record = VectorRecord.Of(vector);
        var bundle = new Bundle { Type = Bundle.BundleType.Collection, Entry = [.. record.Select(resource => new Bundle.EntryComponent { Resource = resource })] };
        return (new VariableBinder(new RecordIndex(record), vector.EvaluatedAt, TimeZoneInfo.FindSystemTimeZoneById(vector.Zone)), bundle.ToPocoNode());
    }

    private static EvaluationContext Context(string ear, string otherEar) => new()
    {
        Environment = new Dictionary<string, IEnumerable<PocoNode>>
        {
            ["ear"] = [PocoNode.ForPrimitive(new FhirString(ear))],
            ["otherEar"] = [PocoNode.ForPrimitive(new FhirString(otherEar))],
        },
    };

    private static string Text(object? value) => string.Create(System.Globalization.CultureInfo.InvariantCulture, $"{value}");
}
