using System.Text;
using EarReferral.Testing;
using EarReferral.Triage.Rules;

namespace EarReferral.Triage.Tests.LocalPolicies;

/// <summary>Local policies written for a test, on the committed rule set.</summary>
internal static class Overlay
{
    /// <summary>The signature that a weakening needs; <c>WEAKENS</c> stands for what is accepted.</summary>
    public const string Accepted = """
        "accepted": { "name": "Dr Imogen Tarrant", "role": "medical director", "date": "2026-10-28", "reason": "Agreed with the hospital.", "weakens": ["WEAKENS"] }
        """;

    public static string AcceptedFor(string weakening) => Accepted.Replace("WEAKENS", weakening, StringComparison.Ordinal);

    /// <summary>A policy with one more member, such as <c>"rules": []</c>.</summary>
    public static List<(string Name, byte[] Content)> With(string members) => File($$"""
        { "site": "harbour-lane", "name": "Harbour Lane Ear Care", "date": "2026-11-02", "base": "1.0.0", {{members}} }
        """);

    /// <summary>A policy that changes one rule.</summary>
    public static List<(string Name, byte[] Content)> Rule(string id, string members) => With($$"""
        "rules": [{ "rule": "{{id}}", "why": "Agreed with the hospital.", {{members}} }]
        """);

    public static List<(string Name, byte[] Content)> File(string overlay) => [(RuleBook.OverlayFile, Encoding.UTF8.GetBytes(overlay))];

    /// <summary>The worked example of docs/clinical/local-policy.md.</summary>
    public static List<(string Name, byte[] Content)> Example() =>
        [.. Directory.EnumerateFiles(Repository.At("examples", "local-policy"), "*.json").Select(path => (Path.GetFileName(path), System.IO.File.ReadAllBytes(path)))];

    public static RuleBook Load(List<(string Name, byte[] Content)> overlay) => RuleBook.Load(RuleBookFiles.Read(), overlay);

    /// <summary>The rule with this PlanDefinition id.</summary>
    public static Rule Of(RuleBook book, string id) => book.Rules.Single(rule => rule.Canonical.Contains($"/{id}|", StringComparison.Ordinal));

    public static IReadOnlyList<string> Problems(List<(string Name, byte[] Content)> overlay) =>
        Assert.Throws<InvalidRuleBookException>(() => Load(overlay)).Problems;
}
