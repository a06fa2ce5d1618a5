using EarReferral.Triage.Decisions;
using EarReferral.Triage.History;
using EarReferral.Triage.Rules;
using Hl7.Fhir.Model;

namespace EarReferral.Triage.Evaluation;

/// <summary>Decides the urgency of one record by a rule book; pure, so that the same record always gets the same decision.</summary>
public static class TriageEngine
{
    /// <summary>
    /// Evaluates every rule for each ear that the record says anything about, then for the patient. A record that says nothing about
    /// any ear is evaluated for both, so that it ends in questions and never in "no referral".
    /// </summary>
    /// <param name="book">The rules.</param>
    /// <param name="record">Patient and Observations of one encounter; other resources are ignored.</param>
    /// <param name="evaluatedAt">The decision instant; days, hours, age and deadlines count from it.</param>
    /// <param name="clinicZone">The zone in which calendar days are counted.</param>
    public static TriageDecision Decide(RuleBook book, IReadOnlyList<Resource> record, DateTimeOffset evaluatedAt, TimeZoneInfo clinicZone) =>
        Decide(book, record, HistoryInput.None, evaluatedAt, clinicZone);

    /// <summary>The same with what earlier visits say; a variable reads a derived fact only where this visit leaves it open.</summary>
    /// <param name="book">The rules.</param>
    /// <param name="record">Patient and Observations of one encounter, without those of the history.</param>
    /// <param name="history">What earlier visits say.</param>
    /// <param name="evaluatedAt">The decision instant; days, hours, age and deadlines count from it.</param>
    /// <param name="clinicZone">The zone in which calendar days are counted.</param>
    public static TriageDecision Decide(RuleBook book, IReadOnlyList<Resource> record, HistoryInput history, DateTimeOffset evaluatedAt, TimeZoneInfo clinicZone)
    {
        var index = new RecordIndex([.. record, .. history.Observations]);
        var binder = new VariableBinder(index, evaluatedAt, clinicZone);
        DecisionSide[] both = [DecisionSide.Right, DecisionSide.Left];
        var ears = both.Where(index.HasEar).ToArray() is [_, ..] examined ? examined : both;

        var patient = new Facts(binder.Bind(book.PatientVariables, null), book.LeafCount, null);
        var investigated = patient[RuleBook.AlreadyInvestigated].Value is FhirBoolean { Value: true };
        var outcomes = new Outcomes(book, evaluatedAt, clinicZone, investigated);
        foreach (var ear in ears)
        {
            var side = ear is DecisionSide.Right ? "right" : "left";
            var facts = new Facts(binder.Bind(book.Variables.Values, ear), book.LeafCount, side);
            foreach (var rule in book.CompiledRules.Where(rule => rule.Rule.Level is RuleLevel.Ear))
            {
                outcomes.Add(rule.Rule, RuleEvaluation.Evaluate(rule, facts, side), ear);
            }
        }

        foreach (var rule in book.CompiledRules.Where(rule => rule.Rule.Level is RuleLevel.Patient))
        {
            outcomes.Add(rule.Rule, RuleEvaluation.Evaluate(rule, patient, null), null);
        }

        return outcomes.ToDecision() with { History = history.Facts };
    }

    private sealed class Outcomes(RuleBook book, DateTimeOffset evaluatedAt, TimeZoneInfo zone, bool investigated)
    {
        private readonly List<FiredRule> fired = [];
        private readonly List<FiredRule> suppressed = [];
        private readonly List<OpenQuestion> questions = [];

        public void Add(Rule rule, RuleEvaluation evaluation, DecisionSide? side)
        {
            switch (evaluation.Holds)
            {
                case Certainty.True:
                    (rule.Suppressible && investigated ? suppressed : fired).Add(Fired(rule, evaluation, side));
                    break;
                case Certainty.Unknown when rule.Asks:
                    questions.Add(new OpenQuestion(
                        rule.Id,
                        rule.Tier,
                        side,
                        string.Join(' ', evaluation.Missing.Select(variable => variable.Question).Distinct()),
                        [.. evaluation.Missing.SelectMany(variable => variable.AskedFindings).Distinct()])
                    {
                        Facts = [.. evaluation.Missing.Select(variable => new AskedFact(variable.Question, VariableBinder.SideOf(variable.Level, side), variable.AskedFindings))],
                    });
                    break;
                case Certainty.Unknown or Certainty.False:
                    break;
            }
        }

        public TriageDecision ToDecision() => new(
            fired.Count == 0 ? Tier.T4 : fired.Max(rule => rule.Tier),
            MostUrgentOfEach(fired),
            [.. questions.OrderByDescending(question => question.Tier)],
            evaluatedAt,
            book.Version)
        {
            Suppressed = MostUrgentOfEach(suppressed),
        };

        /// <summary>Variants of one rule with different tiers count once per side.</summary>
        private static List<FiredRule> MostUrgentOfEach(IEnumerable<FiredRule> rules) =>
            [.. rules.OrderByDescending(rule => rule.Tier).DistinctBy(rule => (rule.Id, rule.Side))];

        private FiredRule Fired(Rule rule, RuleEvaluation evaluation, DecisionSide? side) => new(
            rule.Id,
            rule.Canonical,
            rule.Title,
            rule.Tier,
            rule.Strength,
            side,
            rule.Destination,
            rule.Deadline.From(evaluatedAt, zone),
            rule.TimeLimit,
            rule.Reason,
            rule.PatientText,
            $"{rule.Source} ({rule.Provenance})",
            [.. evaluation.Used.Select(fact => new RuleInput(fact.Variable.Name, fact.Text, fact.ObservationId))]);
    }
}
