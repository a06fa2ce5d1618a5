using System.Text.Json;
using System.Text.RegularExpressions;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Rules;

namespace EarReferral.Triage.LocalPolicies;

/// <summary>Reads <c>overlay.json</c> and collects everything that is wrong with it; docs/clinical/local-policy.md describes the file.</summary>
internal static partial class LocalPolicyReader
{
    private static readonly Dictionary<string, Tier> Tiers = Enum.GetValues<Tier>().ToDictionary(tier => tier.ToString());

    private static readonly Dictionary<string, Weakening> Weakenings = Enum.GetValues<Weakening>()
        .ToDictionary(weakening => JsonNamingPolicy.KebabCaseLower.ConvertName(weakening.ToString()));

    /// <summary>The policy, or null and at least one problem.</summary>
    public static LocalPolicy? Read(byte[] content, List<string> problems)
    {
        var before = problems.Count;
        try
        {
            using var document = JsonDocument.Parse(content, FhirElement.Strict);
            if (document.RootElement.ValueKind is not JsonValueKind.Object)
            {
                problems.Add($"{RuleBook.OverlayFile}: not an object");
                return null;
            }

            var policy = Read(new PolicyObject(document.RootElement, RuleBook.OverlayFile, problems));
            return problems.Count == before ? policy : null;
        }
        catch (JsonException error)
        {
            problems.Add($"{RuleBook.OverlayFile}: {error.Message}");
            return null;
        }
    }

    /// <summary>The words for a weakening in the file.</summary>
    public static string Word(Weakening weakening) => JsonNamingPolicy.KebabCaseLower.ConvertName(weakening.ToString());

    private static LocalPolicy Read(PolicyObject root)
    {
        root.Require("site", "name", "date", "base");
        var site = root.Text("site") ?? "";
        if (site.Length > 0 && !KebabCase().IsMatch(site))
        {
            root.Problem("site", $"'{site}' is not lower-case letters, digits and single hyphens");
        }

        var policy = new LocalPolicy(
            site,
            root.Text("name") ?? "",
            root.Date("date") ?? default,
            root.Text("base") ?? "",
            root.Texts("add"),
            [.. root.Objects("destinations").Select(Redirection)],
            root.Object("routine") is { } routine ? Routine(routine) : null,
            [.. root.Objects("rules").Select(Change)]);
        foreach (var twice in policy.Rules.Select(change => change.Rule).Concat(policy.Added).GroupBy(rule => rule).Where(group => group.Key.Length > 0 && group.Count() > 1))
        {
            root.Problem("rules", $"{twice.Key} is named twice");
        }

        foreach (var twice in policy.Redirections.GroupBy(redirection => redirection.From).Where(group => group.Key.Length > 0 && group.Count() > 1))
        {
            root.Problem("destinations", $"'{twice.Key}' is redirected twice");
        }

        root.End();
        return policy;
    }

    private static Redirection Redirection(PolicyObject entry)
    {
        entry.Require("from", "to", "why");
        var redirection = new Redirection(entry.Text("from") ?? "", entry.Text("to") ?? "", entry.Text("why") ?? "");
        entry.End();
        return redirection;
    }

    private static RoutineLimit Routine(PolicyObject entry)
    {
        entry.Require("from", "to", "timeLimit", "why");
        var limit = new RoutineLimit(entry.Deadline("from") ?? default, entry.Deadline("to") ?? default, entry.Text("timeLimit") ?? "", entry.Text("why") ?? "");
        entry.End();
        return limit;
    }

    private static RuleChange Change(PolicyObject entry)
    {
        entry.Require("rule", "why");
        var change = new RuleChange(entry.Text("rule") ?? "", entry.Text("why") ?? "")
        {
            Removes = entry.Flag("remove"),
            Tier = entry.Choice("tier", Tiers),
            Deadline = entry.Deadline("deadline"),
            TimeLimit = entry.Text("timeLimit"),
            Destination = entry.Text("destination"),
            Condition = entry.Text("condition"),
            Reason = entry.Text("reason"),
            PatientText = entry.Text("patientText"),
            Accepted = entry.Object("accepted") is { } accepted ? Acceptance(accepted) : null,
        };

        // Words that were written for another time, receiver or condition would be untrue for the patient or the clinician.
        entry.Require([
            .. change.Tier is null ? (string[])[] : ["deadline"],
            .. change.Tier is null && change.Deadline is null ? (string[])[] : ["timeLimit"],
            .. change.Tier is null && change.Deadline is null && change.Destination is null ? (string[])[] : ["patientText"],
            .. change.Condition is null ? (string[])[] : ["reason"]]);
        if (change.Removes && change is not { Tier: null, Deadline: null, TimeLimit: null, Destination: null, Condition: null, Reason: null, PatientText: null })
        {
            entry.Problem("remove", "a rule that is removed cannot be changed as well");
        }

        entry.End();
        return change;
    }

    private static Acceptance Acceptance(PolicyObject entry)
    {
        entry.Require("name", "role", "date", "reason", "weakens");
        var weakens = entry.Texts("weakens");
        foreach (var unknown in weakens.Where(word => !Weakenings.ContainsKey(word)))
        {
            entry.Problem("weakens", $"'{unknown}' is none of {string.Join(", ", Weakenings.Keys)}");
        }

        var acceptance = new Acceptance(
            entry.Text("name") ?? "",
            entry.Text("role") ?? "",
            entry.Date("date") ?? default,
            entry.Text("reason") ?? "",
            [.. weakens.Where(Weakenings.ContainsKey).Select(word => Weakenings[word]).Distinct().Order()]);
        entry.End();
        return acceptance;
    }

    [GeneratedRegex("^[a-z0-9]+(-[a-z0-9]+)*$")]
    private static partial Regex KebabCase();
}
