using System.Text.Json;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using EarReferral.Triage.Rules;
using EarReferral.Triage.Tests.Vectors;

namespace EarReferral.Triage.Tests.Evaluation;

/// <summary>A further positive finding never makes a case less urgent, save the findings that are there to reassure.</summary>
public sealed class PositiveFindingTests
{
    /// <summary>
    /// Findings whose "yes" may lower the tier, with the most urgent tier that each takes away and the reason, as docs/clinical/red-flags.md and the
    /// rules state it. The list is exact: a finding more, or a tier more, is a change that a clinician has to see.
    /// </summary>
    private static readonly Dictionary<string, (Tier UpTo, string Reason)> Reassuring = new()
    {
        ["earlier-care-already-investigated-unchanged"] = (Tier.T2, "investigated before and unchanged silences T2 and T3, never T0 or T1"),
        ["hearing-explained-by-outer-or-middle-ear"] = (Tier.T1, "NICE NG98 1.1.2 speaks of a loss that is not explained"),
        ["drum-bulging"] = (Tier.T1, "another cause of a loss that the clinician calls explained"),
        ["drum-effusion"] = (Tier.T1, "another cause of a loss that the clinician calls explained"),
        ["drum-perforation"] = (Tier.T1, "another cause of a loss that the clinician calls explained"),
        ["canal-outer-ear-infection"] = (Tier.T1, "another cause of a loss that the clinician calls explained"),
        ["ear-history-acute-middle-ear-infection"] = (Tier.T1, "another cause of a loss that the clinician calls explained"),
        ["hearing-with-respiratory-infection"] = (Tier.T2C, "the infection explains the fluid behind the drum"),
        ["neurology-facial-weakness-old-unchanged"] = (Tier.T0, "an old and unchanged weakness is no sudden sign"),
        ["neurology-forehead-involved"] = (Tier.T0, "the whole side of the face is weak: the nerve and not a stroke, still T1 by R-NE-05"),
        ["vertigo-postural-drop"] = (Tier.T0, "dizziness from a drop of blood pressure on standing is left out of R-NE-01"),
        ["vertigo-resolved"] = (Tier.T0, "vertigo that is over is not acute: R-TN-02 and R-NE-03"),
        ["background-diabetes"] = (Tier.T0, "only where low glucose was treated and the symptoms went: NICE NG127 1.2.1, R-NE-01"),
        ["vertigo-resolved-after-treating-low-glucose"] = (Tier.T0, "the same, only with diabetes"),
        ["pain-present"] = (Tier.T2C, "pain in the other ear too: R-CA-07 is for pain on one side"),
        ["discharge-present"] = (Tier.T2C, "R-CA-07 is for a normal ear"),
        ["canal-swollen"] = (Tier.T2C, "R-CA-07 is for a normal ear"),
        ["outer-ear-vesicles"] = (Tier.T2C, "R-CA-07 is for a normal ear"),
        ["foreign-body-present"] = (Tier.T2C, "R-CA-07 is for a normal ear"),
        ["trauma-penetrating"] = (Tier.T2C, "R-CA-07 is for a normal ear"),
        ["trauma-pressure-or-blast"] = (Tier.T2C, "R-CA-07 is for a normal ear"),
    };

    private static readonly JsonElement Yes = JsonSerializer.SerializeToElement("yes");

    [Fact]
    public void Adding_a_positive_finding_never_lowers_the_tier()
    {
        var added = 0;
        var lowered = RuleVector.All.AsParallel().AsOrdered().SelectMany(vector =>
        {
            var before = RuleVectorTests.Decide(vector);
            return before.Tier is Tier.T4 ? [] : ReadByTheMostUrgent(before).SelectMany(finding => With(vector, finding.Code, finding.OfPatient).Select(more => (finding.Code, more)))
                .Where(_ => Interlocked.Increment(ref added) > 0)
                .Select(each => (each.Code, vector.Id, Before: before.Tier, After: RuleVectorTests.Decide(each.more).Tier))
                .Where(each => each.After < each.Before).ToList();
        }).ToList();

        Assert.True(added > 1_000, $"only {added} findings were added");
        Assert.Equal(
            Reassuring.Select(each => $"{each.Key} up to {each.Value.UpTo}").Order(StringComparer.Ordinal),
            lowered.GroupBy(each => each.Code).Select(group => $"{group.Key} up to {group.Max(each => each.Before)}").Order(StringComparer.Ordinal));
    }

    /// <summary>The yes-or-no findings that could take away what made the case urgent: no other can lower the tier.</summary>
    private static List<(string Code, bool OfPatient)> ReadByTheMostUrgent(TriageDecision decision)
    {
        var book = RuleBookFiles.Book;
        var names = decision.Fired.Where(fired => fired.Tier == decision.Tier)
            .SelectMany(fired => book.CompiledRules.Single(rule => rule.Rule.Canonical == fired.Canonical).VariableNames)
            .Append(RuleBook.AlreadyInvestigated).ToHashSet();
        names.UnionWith(names.Select(name => book.Variables[name].FalseWith).OfType<string>().ToList());
        return [.. names.Select(name => book.Variables[name]).Where(variable => variable.Kind is VariableKind.Boolean)
            .SelectMany(variable => variable.FindingCodes.Select(code => (code, variable.Level is VariableLevel.Patient))).Distinct()];
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
