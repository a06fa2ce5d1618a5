using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using EarReferral.Triage.Rules;
using EarReferral.Triage.Tests.Vectors;
using Hl7.Fhir.Model;

namespace EarReferral.Triage.Tests.Mutants;

/// <summary>A vector with its facts bound once, and what each rule says about them.</summary>
internal sealed class VectorCase
{
    private readonly IReadOnlyList<CompiledRule> rules;
    private readonly List<(Facts Facts, string Side)> ears;
    private readonly Facts patient;
    private readonly bool investigated;
    private readonly (bool Fired, bool Open)[] outcomes;
    private readonly string expected;

    /// <param name="book">The unchanged rules.</param>
    /// <param name="vector">The vector.</param>
    /// <param name="leafCount">Leaves of all mutants together.</param>
    /// <param name="rules">The unchanged rules, compiled with the mutants.</param>
    public VectorCase(RuleBook book, RuleVector vector, int leafCount, IReadOnlyList<CompiledRule> rules)
    {
        Vector = vector;
        this.rules = rules;
        var index = new RecordIndex(VectorRecord.Of(vector));
        var binder = new VariableBinder(index, vector.EvaluatedAt, TimeZoneInfo.FindSystemTimeZoneById(vector.Zone));
        DecisionSide[] both = [DecisionSide.Right, DecisionSide.Left];
        var examined = both.Where(index.HasEar).ToList() is [_, ..] some ? some : [.. both];
        ears = [.. examined.Select(ear => (ear is DecisionSide.Right ? "right" : "left", ear)).Select(ear => (new Facts(binder.Bind(book.Variables.Values, ear.ear), leafCount, ear.Item1), ear.Item1))];
        patient = new Facts(binder.Bind(book.PatientVariables, null), leafCount, null);
        investigated = patient[RuleBook.AlreadyInvestigated].Value is FhirBoolean { Value: true };
        outcomes = [.. rules.Select(Outcome)];
        expected = Said(outcomes);
    }

    public RuleVector Vector { get; }

    /// <summary>Whether the vector notices that rules were changed: anything that it states is then said otherwise.</summary>
    public bool Catches(IReadOnlyList<(int Index, CompiledRule Rule)> changed)
    {
        (bool Fired, bool Open)[]? after = null;
        foreach (var (index, rule) in changed)
        {
            if (Outcome(rule) is var outcome && outcome != outcomes[index])
            {
                after ??= [.. outcomes];
                after[index] = outcome;
            }
        }

        return after is not null && Said(after) != expected;
    }

    private (bool Fired, bool Open) Outcome(CompiledRule rule)
    {
        var results = rule.Rule.Level is RuleLevel.Ear
            ? ears.ConvertAll(ear => RuleEvaluation.Evaluate(rule, ear.Facts, ear.Side).Holds)
            : [RuleEvaluation.Evaluate(rule, patient, null).Holds];
        return (results.Contains(Certainty.True) && !(rule.Rule.Suppressible && investigated), rule.Rule.Asks && results.Contains(Certainty.Unknown));
    }

    /// <summary>What the unchanged rules say about the rule of the vector.</summary>
    public Expectation Expectation => Status(outcomes) switch { "fires" => Expectation.Fires, "open" => Expectation.CannotExclude, _ => Expectation.Silent };

    private string Status((bool Fired, bool Open)[] all)
    {
        var named = Enumerable.Range(0, all.Length).Where(index => rules[index].Rule.Id == Vector.Rule).ToList();
        return named.Exists(index => all[index].Fired) ? "fires" : named.Exists(index => all[index].Open) ? "open" : "silent";
    }

    /// <summary>Only what the vector states counts, as in the test of the vectors themselves.</summary>
    private string Said((bool Fired, bool Open)[] all)
    {
        var rule = Status(all);
        var tier = Vector.Tier is null ? "" : Enumerable.Range(0, all.Length).Where(index => all[index].Fired).Select(index => rules[index].Rule.Tier).DefaultIfEmpty(Tier.T4).Max().ToString();
        var complete = Vector.Rules is null ? "" : Ids(index => all[index].Fired && rules[index].Rule.Tier is not Tier.T4);
        var asked = Vector.Questions is null ? "" : Ids(index => all[index].Open);
        return $"{rule}|{tier}|{complete}|{asked}";

        string Ids(Func<int, bool> chosen) =>
            string.Join(',', Enumerable.Range(0, all.Length).Where(chosen).Select(index => rules[index].Rule.Id).Distinct().Order(StringComparer.Ordinal));
    }
}
