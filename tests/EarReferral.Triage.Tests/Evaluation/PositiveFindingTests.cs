using System.Text.Json;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using EarReferral.Triage.Rules;
using EarReferral.Triage.Tests.Vectors;

namespace EarReferral.Triage.Tests.Evaluation;

/// <summary>A further positive finding never makes a case less urgent, save the findings that are there to reassure.</summary>
public sealed class PositiveFindingTests
{
    /// <summary>Findings whose "yes" may lower the tier, each with the reason.</summary>
    private static readonly Dictionary<string, string> Reassuring = new()
    {
    };

    private static readonly JsonElement Yes = JsonSerializer.SerializeToElement("yes");

    [Fact]
    public void Adding_a_positive_finding_never_lowers_the_tier()
    {
        var book = RuleBookFiles.Book;
        var findings = book.Variables.Values.Where(variable => variable.Kind is VariableKind.Boolean)
            .SelectMany(variable => variable.FindingCodes.Select(code => (Code: code, OfPatient: variable.Level is VariableLevel.Patient)))
            .Distinct().ToList();
        var added = 0;
        var lowered = RuleVector.All.AsParallel().AsOrdered().SelectMany(vector =>
        {
            var before = RuleVectorTests.Decide(vector).Tier;
            return before is Tier.T4 ? [] : findings.SelectMany(finding => With(vector, finding.Code, finding.OfPatient).Select(more => (finding.Code, more)))
                .Where(_ => Interlocked.Increment(ref added) > 0)
                .Select(each => (each.Code, vector.Id, Before: before, After: RuleVectorTests.Decide(each.more).Tier))
                .Where(each => each.After < each.Before).ToList();
        }).ToList();

        Assert.True(added > 10_000, $"only {added} findings were added");
        Assert.Equal([], lowered.Where(each => !Reassuring.ContainsKey(each.Code))
            .GroupBy(each => each.Code).Select(group => $"{group.Key} lowers {group.Count()} vectors, such as {group.First()}"));
        Assert.Equal([], Reassuring.Keys.Except(lowered.Select(each => each.Code)));
    }

    /// <summary>The vector with one finding more, on each side where nothing is recorded for it; an ear that was not looked at is left out.</summary>
    private static IEnumerable<RuleVector> With(RuleVector vector, string code, bool ofPatient)
    {
        if (ofPatient)
        {
            return Added(vector.Patient, code) is { } patient ? [vector with { Patient = patient }] : [];
        }

        return
        [
            .. Added(vector.Right, code) is { } right ? (RuleVector[])[vector with { Right = right }] : [],
            .. Added(vector.Left, code) is { } left ? (RuleVector[])[vector with { Left = left }] : [],
        ];
    }

    private static Dictionary<string, JsonElement>? Added(IReadOnlyDictionary<string, JsonElement> facts, string code) =>
        facts.Keys.Any(key => key == code || key.EndsWith(":" + code, StringComparison.Ordinal)) ? null : new(facts) { [code] = Yes };
}
