using System.Text;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Rules;

namespace EarReferral.Triage.Publication;

/// <summary>Writes the rules in words that a clinician reads; the committed document holds exactly this text.</summary>
public static class RedFlagDocument
{
    /// <summary>The list of all rules, most urgent tier first, as Markdown with LF line ends.</summary>
    public static string Write(RuleBook book)
    {
        var text = new StringBuilder();
        foreach (var tier in book.Rules.GroupBy(rule => rule.Tier).OrderByDescending(group => group.Key))
        {
            text.Append($"\n## {tier.Key}: {tier.First().TimeLimit}\n\n");
            text.Append("| Rule | When | To | Strength | Source | How the source was seen |\n|---|---|---|---|---|---|\n");
            foreach (var rule in tier)
            {
                text.Append($"| {rule.Id} {rule.Title} | {rule.Reason}{OwnLimit(rule, tier.First())}{Notes(rule)} | {rule.Destination} | {Words(rule.Strength)} | {rule.Source} | {rule.Provenance} |\n");
            }
        }

        return text.ToString();
    }

    private static string Words(RuleStrength strength) => strength switch
    {
        RuleStrength.Must => "must",
        RuleStrength.Consider => "consider",
    };

    /// <summary>A rule may set another time than its tier.</summary>
    private static string OwnLimit(Rule rule, Rule usual) =>
        rule.TimeLimit == usual.TimeLimit ? "" : $" Time: {rule.TimeLimit} ({rule.Deadline.Amount} {(rule.Deadline.Unit is DeadlineUnit.Days ? "days" : "hours")}).";

    private static string Notes(Rule rule) => (rule.Suppressible, rule.Asks) switch
    {
        (true, _) => " Silent when investigated before and unchanged.",
        (_, true) => " What is missing is asked.",
        (false, false) => "",
    };
}
