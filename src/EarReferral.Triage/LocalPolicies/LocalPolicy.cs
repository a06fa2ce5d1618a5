using EarReferral.Triage.Rules;

namespace EarReferral.Triage.LocalPolicies;

/// <summary>What one site decides otherwise than the published rule set.</summary>
/// <param name="Site">Id of the site in kebab case; part of versions.</param>
/// <param name="Name">Name of the site, as decisions show it.</param>
/// <param name="Date">Day from which the policy is the site's.</param>
/// <param name="Base">Version of the published set that it was written for and is only valid with.</param>
/// <param name="Added">Ids of the rules of the site's own that lie beside the policy.</param>
/// <param name="Redirections">Other receivers for all T2, T2C and T3 rules of one receiver.</param>
/// <param name="Routine">Another time limit for the T3 rules that have the usual one.</param>
/// <param name="Rules">Changes of single rules.</param>
internal sealed record LocalPolicy(
    string Site,
    string Name,
    DateOnly Date,
    string Base,
    IReadOnlyList<string> Added,
    IReadOnlyList<Redirection> Redirections,
    RoutineLimit? Routine,
    IReadOnlyList<RuleChange> Rules)
{
    /// <summary>How decisions name the policy.</summary>
    public string Citation => $"Local policy of {Name}, {Date:yyyy-MM-dd}";

    /// <summary>A published version with this policy on it; one word, since canonical URLs carry it.</summary>
    public string VersionOf(string published) => $"{published}-local-{Site}-{Date:yyyy-MM-dd}";
}

/// <summary>Another receiver for all that went to one.</summary>
internal sealed record Redirection(string From, string To, string Why);

/// <summary>Another time limit for routine rules.</summary>
internal sealed record RoutineLimit(Deadline From, Deadline To, string TimeLimit, string Why);
