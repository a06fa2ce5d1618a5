using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using EarReferral.Triage.Tests.Vectors;
using Hl7.Fhir.Model;

namespace EarReferral.Triage.Tests.Evaluation;

public sealed class TriageEngineTests
{
    private const string Findings = "https://ear-referral.example/fhir/CodeSystem/finding";
    private static readonly TimeZoneInfo London = TimeZoneInfo.FindSystemTimeZoneById("Europe/London");
    private static readonly DateTimeOffset Now = new(2026, 3, 31, 10, 0, 0, TimeSpan.FromHours(1));

    /// <summary>Answers that quieten an assumption of the worst; a rule fires until they are given.</summary>
    private static readonly HashSet<string> Quietening =
    [
        "neurology-forehead-involved", "neurology-facial-weakness-old-unchanged", "earlier-care-already-investigated-unchanged",
        "hearing-with-respiratory-infection", "vertigo-resolved", "vertigo-postural-drop",
    ];

    public static TheoryData<string> Ids { get; } = [.. RuleVector.All.Select(vector => vector.Id)];

    [Fact]
    public void Record_without_any_answer_is_questions_about_both_ears_and_not_triaged()
    {
        var decision = TriageEngine.Decide(RuleBookFiles.Book, [new Patient { BirthDate = "1976-01-15" }], Now, London);

        Assert.Empty(decision.Fired);
        Assert.False(decision.IsTriaged);
        Assert.Equal([DecisionSide.Right, DecisionSide.Left], decision.Questions.Select(question => question.Side).OfType<DecisionSide>().Distinct().Order());
        Assert.All(decision.Questions, question => Assert.False(string.IsNullOrWhiteSpace(question.Text)));
    }

    [Theory]
    [MemberData(nameof(Ids))]
    public void Order_of_the_record_does_not_matter(string id)
    {
        var vector = RuleVector.All.Single(candidate => candidate.Id == id);
        var record = VectorRecord.Of(vector);

        Assert.Equal(Summary(Decide(vector, record)), Summary(Decide(vector, [.. record.Reverse()])));
    }

    [Theory]
    [MemberData(nameof(Ids))]
    public void Mirrored_record_gets_the_mirrored_decision(string id)
    {
        var vector = RuleVector.All.Single(candidate => candidate.Id == id);
        var mirrored = VectorRecord.Of(vector);
        foreach (var observation in mirrored.OfType<Observation>())
        {
            observation.BodySite = Mirror(observation.BodySite);
            observation.Value = observation.Value is CodeableConcept concept ? Mirror(concept) : observation.Value;
        }

        Assert.Equal(Summary(Decide(vector, VectorRecord.Of(vector)), mirror: true), Summary(Decide(vector, mirrored)));
    }

    /// <summary>An answer that contradicts what an earlier visit says is no answer to an unknown: the clinic's word stands over a derived fact.</summary>
    [Theory]
    [MemberData(nameof(Ids))]
    public void Answer_to_an_unknown_never_lowers_the_tier_that_was_certain(string id)
    {
        var vector = RuleVector.All.Single(candidate => candidate.Id == id);
        var before = Decide(vector, VectorRecord.Of(vector)).Tier;
        for (var index = 0; index < VectorRecord.Of(vector).Count; index++)
        {
            foreach (var answer in new[] { "52101004", "2667000" })
            {
                var record = VectorRecord.Of(vector);
                if (record[index] is Observation { DataAbsentReason: not null } unknown && !Quietening.Contains(unknown.Code!.Coding[0].Code!) && !Derived(vector, unknown.Code.Coding[0].Code!))
                {
                    unknown.DataAbsentReason = null;
                    unknown.Value = new CodeableConcept("http://snomed.info/sct", answer);
                    var after = Decide(vector, record).Tier;
                    Assert.True(after >= before, $"{unknown.Code.Coding[0].Code} answered {answer}: {before} became {after}");
                }
            }
        }
    }

    private static bool Derived(RuleVector vector, string finding) => RuleBookFiles.Book.Variables.Values
        .Where(variable => variable.AskedFindings.Contains(finding))
        .SelectMany(variable => variable.FindingCodes.Except(variable.AskedFindings))
        .Any(code => vector.Right.ContainsKey(code) || vector.Left.ContainsKey(code));

    [Fact]
    public void Two_different_answers_to_one_question_are_no_answer()
    {
        var decision = TriageEngine.Decide(
            RuleBookFiles.Book,
            [new Patient { BirthDate = "1976-01-15" }, Limb("52101004"), Limb("2667000")],
            Now,
            London);

        Assert.DoesNotContain(decision.Fired, rule => rule.Id == "R-NE-04");
        Assert.Contains(decision.Questions, question => question.RuleId == "R-NE-04" && question.FindingCodes.Contains("neurology-limb-weakness"));
    }

    [Fact]
    public void Unreadable_birth_date_leaves_the_age_rules_open()
    {
        var record = new List<Resource> { new Patient { BirthDate = "unknown" }, Ear("hearing-change", new CodeableConcept("https://ear-referral.example/fhir/CodeSystem/hearing-change", "sudden")), };

        var decision = TriageEngine.Decide(RuleBookFiles.Book, record, Now, London);

        Assert.Contains(decision.Questions, question => question.RuleId == "R-HL-01");
        Assert.Contains(decision.Questions, question => question.RuleId == "R-CH-01");
    }

    [Fact]
    public void Fired_rule_names_the_facts_it_used_and_its_deadline()
    {
        var decision = TriageEngine.Decide(RuleBookFiles.Book, [new Patient { BirthDate = "1976-01-15" }, Limb("52101004")], Now, London);

        var fired = Assert.Single(decision.Fired);
        Assert.Equal(("R-NE-04", Tier.T0, Now.AddHours(4)), (fired.Id, fired.Tier, fired.Due));
        Assert.Contains(fired.Inputs, input => input is { Variable: "neurologyLimbWeakness", Value: "true", ObservationId: "limb-52101004" });
        Assert.Equal(RuleBookFiles.Book.Version, decision.RuleBook);
    }

    private static TriageDecision Decide(RuleVector vector, IReadOnlyList<Resource> record) =>
        TriageEngine.Decide(RuleBookFiles.Book, record, vector.EvaluatedAt, TimeZoneInfo.FindSystemTimeZoneById(vector.Zone));

    private static Observation Limb(string answer) => new()
    {
        Id = "limb-" + answer,
        Code = new CodeableConcept(Findings, "neurology-limb-weakness"),
        Value = new CodeableConcept("http://snomed.info/sct", answer),
    };

    private static Observation Ear(string code, DataType value) => new()
    {
        Code = new CodeableConcept(Findings, code),
        BodySite = new CodeableConcept("http://snomed.info/sct", "25577004"),
        Value = value,
    };

    /// <summary>A new concept, because the records of several vectors share their codings.</summary>
    private static CodeableConcept? Mirror(CodeableConcept? concept) => concept?.Coding is [var coding]
        ? new CodeableConcept(coding.System, coding.Code switch { "25577004" => "89644007", "89644007" => "25577004", "right" => "left", "left" => "right", var other => other })
        : concept;

    private static string Summary(TriageDecision decision, bool mirror = false)
    {
        return string.Join(
            '\n',
            decision.Fired.Select(rule => $"{rule.Tier} {rule.Id} {Side(rule.Side)}").Order(StringComparer.Ordinal)
                .Concat(decision.Questions.Select(question => $"ask {question.RuleId} {Side(question.Side)}").Order(StringComparer.Ordinal)));

        string Side(DecisionSide? side) => side is null ? "patient" : side is DecisionSide.Right != mirror ? "right" : "left";
    }
}
