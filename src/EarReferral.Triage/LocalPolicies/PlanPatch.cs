using System.Text.Json.Nodes;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Rules;

namespace EarReferral.Triage.LocalPolicies;

/// <summary>Writes the changes of one rule into its PlanDefinition.</summary>
internal static class PlanPatch
{
    /// <param name="plan">The PlanDefinition of a sound rule.</param>
    /// <param name="action">Its one action.</param>
    /// <param name="rule">The rule as published.</param>
    /// <param name="change">What is otherwise.</param>
    public static void Apply(JsonObject plan, JsonObject action, Rule rule, RuleChange change)
    {
        if (change.Tier is { } tier)
        {
            Set(plan, RuleVocabulary.Tier, "valueCode", tier.ToString());
            SetPriority(action, tier);
            SetFlags(plan, rule, tier);
        }

        if (change.Deadline is { } deadline)
        {
            action["timingDuration"] = new JsonObject
            {
                ["value"] = deadline.Amount,
                ["unit"] = deadline.Unit is DeadlineUnit.Days ? "days" : "hours",
                ["system"] = RuleVocabulary.Ucum,
                ["code"] = deadline.Unit is DeadlineUnit.Days ? "d" : "h",
            };
        }

        if (change.Condition is { } condition)
        {
            action["condition"]![0]!["expression"]!["expression"] = condition;
        }

        if (change.Reason is { } reason)
        {
            action["description"] = reason;
        }

        SetIfGiven(plan, RuleVocabulary.TimeLimit, "valueString", change.TimeLimit);
        SetIfGiven(plan, RuleVocabulary.Destination, "valueCode", change.Destination);
        SetIfGiven(plan, RuleVocabulary.PatientText, "valueString", change.PatientText);
    }

    /// <summary>T0 and T1 are never silenced; a rule that leaves them goes on asking, since not asked is never no.</summary>
    private static void SetFlags(JsonObject plan, Rule rule, Tier tier)
    {
        if (tier is Tier.T0 or Tier.T1)
        {
            Set(plan, RuleVocabulary.Suppressible, "valueBoolean", false);
        }
        else if (rule.Asks)
        {
            Set(plan, RuleVocabulary.Asks, "valueBoolean", true);
        }
    }

    private static void SetPriority(JsonObject action, Tier tier)
    {
        string? priority = tier switch
        {
            Tier.T0 => "stat",
            Tier.T1 => "asap",
            Tier.T2 or Tier.T2C => "urgent",
            Tier.T3 => "routine",
            Tier.T4 => null,
        };
        if (priority is null)
        {
            action.Remove("priority");
            return;
        }

        action["priority"] = priority;
    }

    private static void SetIfGiven(JsonObject plan, string url, string member, string? value)
    {
        if (value is not null)
        {
            Set(plan, url, member, value);
        }
    }

    private static void Set(JsonObject plan, string url, string member, JsonNode value)
    {
        var extensions = plan["extension"]!.AsArray();
        foreach (var earlier in extensions.OfType<JsonObject>().Where(extension => extension["url"]?.ToString() == url).ToList())
        {
            extensions.Remove(earlier);
        }

        extensions.Add(new JsonObject { ["url"] = url, [member] = value });
    }
}
