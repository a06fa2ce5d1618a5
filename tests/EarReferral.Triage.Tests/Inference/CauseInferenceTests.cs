using System.Text.Json;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Inference;
using EarReferral.Triage.Tests.Vectors;
using Hl7.Fhir.Model;

namespace EarReferral.Triage.Tests.Inference;

/// <summary>What may be said from the findings, and above all what may not.</summary>
public sealed class CauseInferenceTests
{
    [Theory]
    [InlineData("drum-state-not-known", """{"drum-visualised":"not-at-all"}""", "{}", "wax hides the drum")]
    [InlineData("may-not-be-wax", """{"drum-attic-crust":"present"}""", "{}", "deep material is not always wax")]
    [InlineData("layer-left-on-purpose", """{"outcome-result":"thin-layer-left-on-drum"}""", "{}", "touching the drum hurts, so a thin layer may stay")]
    [InlineData("hearing-back-after-clearance", """{"outcome-result":"clear","hearing-before":"reduced","hearing-after":"normal"}""", "{}", "hearing restored right after clearance")]
    [InlineData("blood-after-cotton-buds", """{"before:canal-blood":"present","ear-history-cotton-buds":"yes"}""", """{"head-injury-present":"no"}""", "scratches by cotton buds bleed")]
    [InlineData("flinched-without-a-look-afterwards", """{"movement-flinched":"yes"}""", "{}", "sudden movement can injure")]
    [InlineData("brief-spinning-of-suction", "{}", """{"patient-complications-vertigo":"transient"}""", "suction cools the ear")]
    public void Statement_follows_with_its_basis_and_its_limit(string id, string right, string patient, string why)
    {
        var statement = Assert.Single(Infer(right, patient));

        Assert.True(statement.Id == id, why);
        Assert.NotEmpty(statement.Basis);
        Assert.False(string.IsNullOrWhiteSpace(statement.DoesNotMean));
        Assert.False(string.IsNullOrWhiteSpace(statement.Source));
        Assert.Matches(@"\b(may|probably|not known|neither seen nor excluded)\b", statement.Text);
    }

    [Theory]
    [InlineData("""{"drum-visualised":"fully"}""", "{}", "a drum that was seen is not unknown")]
    [InlineData("{}", "{}", "nothing said, nothing inferred")]
    [InlineData("""{"outcome-result":"clear","hearing-before":"reduced","hearing-after":"same"}""", "{}", "hearing that did not come back is not explained")]
    [InlineData("""{"outcome-result":"incomplete","hearing-before":"reduced","hearing-after":"normal"}""", "{}", "an ear that was not cleared explains nothing")]
    [InlineData("""{"outcome-result":"clear","hearing-after":"normal"}""", "{}", "a loss that nobody recorded cannot have come back")]
    [InlineData("""{"before:canal-blood":"present","ear-history-cotton-buds":"notAsked"}""", """{"head-injury-present":"no"}""", "cotton buds that nobody asked about are no cause")]
    [InlineData("""{"before:canal-blood":"present","ear-history-cotton-buds":"yes"}""", """{"head-injury-present":"yes"}""", "blood after a head injury is never put down to cotton buds")]
    [InlineData("""{"before:canal-blood":"present","ear-history-cotton-buds":"yes"}""", """{"head-injury-present":"notAsked"}""", "nor where nobody asked about a head injury")]
    [InlineData("""{"drum-attic-crust":"notSeen"}""", "{}", "a crust that nobody saw is nothing")]
    [InlineData("""{"movement-flinched":"yes","drum-visualised":"fully"}""", "{}", "a drum seen afterwards answers the flinch")]
    [InlineData("""{"movement-flinched":"notAsked"}""", "{}", "not asked is never yes")]
    [InlineData("{}", """{"patient-complications-vertigo":"still-present-at-leaving"}""", "spinning that lasts is never put down to cooling")]
    public void Nothing_follows(string right, string patient, string why) => Assert.True(Infer(right, patient) is [], why);

    [Fact]
    public void Record_is_left_as_it_was_and_side_is_kept()
    {
        var record = Record("{}", "{}", """{"drum-attic-crust":"present"}""");
        var before = record.Count;

        var statement = Assert.Single(CauseInference.Of(record));

        Assert.Equal(DecisionSide.Left, statement.Side);
        Assert.Equal(before, record.Count);
        Assert.DoesNotContain(record.OfType<Observation>(), observation => observation.Code!.Coding[0].Code == "possible-cause");
    }

    [Fact]
    public void Answers_that_differ_support_nothing()
    {
        var record = Record("""{"drum-attic-crust":"present"}""", "{}", "{}").Concat(Record("""{"drum-attic-crust":"absent"}""", "{}", "{}")).ToList();

        Assert.Empty(CauseInference.Of(record));
    }

    private static IReadOnlyList<ProvisionalStatement> Infer(string right, string patient) => CauseInference.Of(Record(right, patient, "{}"));

    private static IReadOnlyList<Resource> Record(string right, string patient, string left) => VectorRecord.Of(new RuleVector
    {
        Id = "inference",
        Rule = "none",
        Expect = Expectation.Silent,
        Why = "-",
        Source = "-",
        EvaluatedAt = DateTimeOffset.UnixEpoch,
        Zone = "UTC",
        BirthDate = "1976-01-15",
        Right = Facts(right),
        Left = Facts(left),
        Patient = Facts(patient),
    });

    private static Dictionary<string, JsonElement> Facts(string json) => JsonSerializer.Deserialize<Dictionary<string, JsonElement>>(json)!;
}
