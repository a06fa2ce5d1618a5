using EarReferral.Triage.Rules;

namespace EarReferral.Gateway.Rules;

/// <summary>The rule set that decides now.</summary>
/// <param name="Version">Version of the set, with that of the local policy.</param>
/// <param name="Sha256">Hash over all files of both.</param>
/// <param name="Caution">What it is not.</param>
/// <param name="LocalChanges">What the local policy changed, removed rules among it; empty without one.</param>
/// <param name="Rules">The rules as they decide.</param>
internal sealed record ActiveRules(string Version, string Sha256, string Caution, IReadOnlyList<string> LocalChanges, IReadOnlyList<ActiveRule> Rules)
{
    /// <summary>The set as callers see it.</summary>
    public static ActiveRules Of(RuleBook book) => new(
        book.Version.Version,
        book.Version.Sha256,
        "Decision support for trained staff. Local policy and the licensed practitioner decide. Emergencies are phoned first.",
        book.LocalChanges,
        [.. book.Rules.Select(rule => new ActiveRule(
            rule.Id, rule.Canonical, rule.Title, rule.Level.ToString().ToLowerInvariant(), rule.Tier.ToString(), rule.TimeLimit, rule.Strength.ToString().ToLowerInvariant(),
            rule.Destination, rule.Reason, rule.PatientText, rule.Source, rule.Provenance, rule.Suppressible, rule.Asks, rule.Condition))]);
}

/// <summary>One rule of the active set, in the words a clinician reads and the condition a program evaluates.</summary>
internal sealed record ActiveRule(
    string Rule,
    string Canonical,
    string Title,
    string Level,
    string Tier,
    string TimeLimit,
    string Strength,
    string Destination,
    string Reason,
    string PatientText,
    string Source,
    string Provenance,
    bool Suppressible,
    bool Asks,
    string Condition);
