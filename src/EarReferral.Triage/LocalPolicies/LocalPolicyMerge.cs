using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Rules;

namespace EarReferral.Triage.LocalPolicies;

/// <summary>Puts a local policy on the published set: rule files in, rule files out, so that the result is read and checked like any rule set.</summary>
/// <param name="published">The files of the published set, which is sound.</param>
/// <param name="book">The published set as read.</param>
/// <param name="policy">The policy.</param>
/// <param name="beside">The files beside the policy, one for each rule of the site's own.</param>
/// <param name="problems">Where everything that is wrong goes.</param>
internal sealed class LocalPolicyMerge(
    IReadOnlyList<(string Name, byte[] Content)> published,
    RuleBook book,
    LocalPolicy policy,
    IReadOnlyList<(string Name, byte[] Content)> beside,
    List<string> problems)
{
    private static readonly JsonSerializerOptions Written = new() { WriteIndented = true, NewLine = "\n", Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    private readonly List<string> words = [];
    private readonly Dictionary<string, Rule> rules = book.Rules.ToDictionary(IdOf);
    private readonly Dictionary<string, byte[]> files = published.ToDictionary(file => file.Name, file => file.Content);
    private readonly Dictionary<string, string?> canonicals = [];

    /// <summary>Every change in words, removed rules among them.</summary>
    public IReadOnlyList<string> Words => words;

    /// <summary>The files of the set that decides; of no use when there are problems.</summary>
    public IReadOnlyList<(string Name, byte[] Content)> Run()
    {
        if (policy.Base != book.Version.Version)
        {
            problems.Add($"{RuleBook.OverlayFile}: written for version {policy.Base} of the published set, which is now {book.Version.Version}; read it again and say so");
        }

        problems.AddRange(policy.Rules.Where(change => change.Rule.Length > 0 && !rules.ContainsKey(change.Rule))
            .Select(change => $"{RuleBook.OverlayFile}: there is no published rule {change.Rule}"));
        CheckGeneralChanges();
        foreach (var (id, rule) in rules)
        {
            if (WithGeneralChanges(rule, policy.Rules.FirstOrDefault(change => change.Rule == id) ?? new RuleChange(id, "")) is { Why.Length: > 0 } change)
            {
                Apply(id, rule, change);
            }
        }

        Add();
        WriteIndex();
        return [.. files.Select(file => (file.Key, file.Value)).OrderBy(file => file.Key, StringComparer.Ordinal)];
    }

    /// <summary>Id of the PlanDefinition of a rule.</summary>
    public static string IdOf(Rule rule) => rule.Canonical.Split('|')[0].Split('/')[^1];

    private void CheckGeneralChanges()
    {
        foreach (var redirection in policy.Redirections)
        {
            CheckDestination("destinations", redirection.To, Tier.T3);
            if (!rules.Values.Any(rule => IsGenerallyRedirected(rule, redirection)))
            {
                problems.Add($"{RuleBook.OverlayFile}: no T2, T2C or T3 rule goes to '{redirection.From}'; a T0 or T1 rule is redirected by its own entry");
            }
        }

        if (policy.Routine is { } routine && !rules.Values.Any(rule => rule.Tier is Tier.T3 && rule.Deadline == routine.From))
        {
            problems.Add($"{RuleBook.OverlayFile}: no T3 rule has the time limit of {Say(routine.From)} that routine changes");
        }
    }

    private static bool IsGenerallyRedirected(Rule rule, Redirection redirection) =>
        rule.Tier is Tier.T2 or Tier.T2C or Tier.T3 && rule.Destination == redirection.From;

    /// <summary>What the policy says in general, where the entry of the rule itself says nothing else.</summary>
    private RuleChange WithGeneralChanges(Rule rule, RuleChange change)
    {
        if (change.Removes)
        {
            return change;
        }

        if (change.Destination is null && policy.Redirections.FirstOrDefault(each => IsGenerallyRedirected(rule, each)) is { } redirection)
        {
            change = change with { Destination = redirection.To, Why = Both(change.Why, redirection.Why) };
        }

        if (change is { Deadline: null, Tier: null } && policy.Routine is { } routine && rule.Tier is Tier.T3 && rule.Deadline == routine.From)
        {
            change = change with { Deadline = routine.To, TimeLimit = change.TimeLimit ?? routine.TimeLimit, Why = Both(change.Why, routine.Why) };
        }

        return change;

        static string Both(string first, string second) => first.Length == 0 ? second : $"{first} {second}";
    }

    private void Apply(string id, Rule rule, RuleChange change)
    {
        CheckAcceptance(id, rule, change);
        CheckDestination(id, change.Destination ?? rule.Destination, change.Tier ?? rule.Tier);
        if (change.Tier is { } tier && change.Deadline is { } deadline)
        {
            CheckLimitOfTier(id, tier, deadline);
        }

        var says = Describe(rule, change);
        words.Add($"{id}: {says}");
        if (change.Removes)
        {
            files.Remove($"{id}.json");
            canonicals[rule.Canonical] = null;
            return;
        }

        var plan = JsonNode.Parse(files[$"{id}.json"])!.AsObject();
        var action = plan["action"]![0]!.AsObject();
        var version = policy.VersionOf((string)plan["version"]!);
        plan["version"] = version;
        canonicals[rule.Canonical] = $"{plan["url"]}|{version}";
        Cite(plan, says, first: !change.KeepsUrgency);
        PlanPatch.Apply(plan, action, rule, change);
        files[$"{id}.json"] = Write(plan);
    }

    private void CheckAcceptance(string id, Rule rule, RuleChange change)
    {
        var weakened = Weakenings(rule, change).ToList();
        var accepted = change.Accepted?.Weakens ?? [];
        foreach (var weakening in weakened.Except(accepted))
        {
            problems.Add($"{RuleBook.OverlayFile}: {id} ({rule.Tier}) is weakened ({LocalPolicyReader.Word(weakening)}) and nobody accountable is named for that: accepted needs name, role, date, reason and weakens");
        }

        foreach (var needless in accepted.Except(weakened))
        {
            problems.Add($"{RuleBook.OverlayFile}: {id}: {change.Accepted!.Name} accepts a weakening ({LocalPolicyReader.Word(needless)}) that the policy does not make; sign what is there");
        }

        if (change.Accepted is { } signature && signature.Date > policy.Date)
        {
            problems.Add($"{RuleBook.OverlayFile}: {id}: accepted on {signature.Date:yyyy-MM-dd}, after the date of the policy");
        }
    }

    private static IEnumerable<Weakening> Weakenings(Rule rule, RuleChange change)
    {
        // Time limits of T3 are local; a rule that leaves T3 has its new limit judged by its new tier.
        if (change.Deadline is { } deadline && rule.Tier is not Tier.T3 && deadline.MayEndAfter(rule.Deadline))
        {
            yield return Weakening.Deadline;
        }

        // T2 orders above T2C, but a rule that moves there leaves the suspected-cancer pathway.
        if (change.Tier is { } tier && (tier < rule.Tier || (tier, rule.Tier) is (Tier.T2, Tier.T2C)))
        {
            yield return Weakening.Tier;
        }

        if (change.Condition is { } condition && condition != rule.Condition)
        {
            yield return Weakening.Condition;
        }

        if (change.Removes)
        {
            yield return Weakening.Removal;
        }
    }

    private void CheckDestination(string place, string destination, Tier tier)
    {
        var receivers = book.Rules.Where(rule => rule.Tier is not Tier.T4).Select(rule => rule.Destination).Distinct().Order(StringComparer.Ordinal).ToList();
        if (tier is not Tier.T4 && !receivers.Contains(destination))
        {
            problems.Add($"{RuleBook.OverlayFile}: {place}: '{destination}' is no receiver of the published set, which are {string.Join(", ", receivers)}");
        }
    }

    /// <summary>A tier that promises 24 hours and takes a week would be no such tier.</summary>
    private void CheckLimitOfTier(string id, Tier tier, Deadline deadline)
    {
        var longest = book.Rules.Where(rule => rule.Tier == tier).Select(rule => rule.Deadline).Order(Deadline.ByLength).LastOrDefault();
        if (tier is not (Tier.T3 or Tier.T4) && longest.Amount > 0 && deadline.MayEndAfter(longest))
        {
            problems.Add($"{RuleBook.OverlayFile}: {id}: {Say(deadline)} is longer than {tier} allows, {Say(longest)}");
        }
    }

    private void Add()
    {
        foreach (var id in policy.Added.Where(id => !beside.Any(file => file.Name == $"{id}.json")))
        {
            problems.Add($"{id}.json: added by {RuleBook.OverlayFile}, but not beside it");
        }

        foreach (var (name, content) in beside)
        {
            var id = Path.GetFileNameWithoutExtension(name);
            if (!policy.Added.Contains(id) || name != $"{id}.json")
            {
                problems.Add($"{name}: not listed under add in {RuleBook.OverlayFile}");
            }
            else if (files.ContainsKey(name))
            {
                problems.Add($"{name}: a published rule is changed by an entry under rules, never by a file");
            }
            else if (Parse(name, content) is { } plan)
            {
                AddRule(id, name, plan);
            }
        }
    }

    private void AddRule(string id, string name, JsonObject plan)
    {
        // Of rules with one number only the most urgent is shown, so a number of the published set could hide its rule.
        if ((plan["identifier"] as JsonArray)?.Select(each => (each as JsonObject)?["value"]?.ToString()).FirstOrDefault(number => book.Rules.Any(rule => rule.Id == number)) is { } taken)
        {
            problems.Add($"{name}: the number {taken} belongs to a published rule");
        }

        var says = $"{policy.Citation}: rule added";
        Cite(plan, says, first: true);
        words.Add($"{id}: {says}");
        canonicals[$"{plan["url"]}|{plan["version"]}"] = $"{plan["url"]}|{plan["version"]}";
        files[name] = Write(plan);
    }

    /// <summary>What can be said about the site's own rules only when they are read as rules.</summary>
    /// <param name="merged">The set that decides.</param>
    public void CheckAdded(RuleBook merged)
    {
        foreach (var rule in merged.Rules.Where(rule => policy.Added.Contains(IdOf(rule))))
        {
            CheckDestination(rule.Id, rule.Destination, rule.Tier);
            CheckLimitOfTier(rule.Id, rule.Tier, rule.Deadline);
            if (rule.Tier is not Tier.T4 && rule.Deadline.Amount is < 1 or > 1000)
            {
                problems.Add($"{rule.Id}.json: the deadline is not from 1 to 1000");
            }
        }
    }

    private JsonObject? Parse(string name, byte[] content)
    {
        try
        {
            if (JsonNode.Parse(content, documentOptions: FhirElement.Strict) is JsonObject plan)
            {
                return plan;
            }

            problems.Add($"{name}: not an object");
        }
        catch (JsonException error)
        {
            problems.Add($"{name}: {error.Message}");
        }

        return null;
    }

    private void WriteIndex()
    {
        var index = JsonNode.Parse(files[RuleBook.IndexFile])!.AsObject();
        index["version"] = policy.VersionOf(book.Version.Version);
        var artifacts = index["relatedArtifact"]!.AsArray();
        foreach (var artifact in artifacts.OfType<JsonObject>().Where(artifact => canonicals.ContainsKey($"{artifact["resource"]}")).ToList())
        {
            canonicals.Remove($"{artifact["resource"]}", out var now);
            artifact["resource"] = now;
            if (now is null)
            {
                artifacts.Remove(artifact);
            }
        }

        foreach (var canonical in canonicals.Values)
        {
            artifacts.Add(new JsonObject { ["type"] = "composed-of", ["resource"] = canonical });
        }

        files[RuleBook.IndexFile] = Write(index);
    }

    /// <param name="plan">The rule file.</param>
    /// <param name="says">What the policy does to it.</param>
    /// <param name="first">Before the published source: then nobody is told that a guideline asks for this.</param>
    private static void Cite(JsonObject plan, string says, bool first)
    {
        var citation = new JsonObject { ["type"] = "citation", ["citation"] = says };
        if (plan["relatedArtifact"] is not JsonArray artifacts)
        {
            plan["relatedArtifact"] = new JsonArray(citation);
            return;
        }

        artifacts.Insert(first ? 0 : artifacts.Count, citation);
    }

    private string Describe(Rule rule, RuleChange change)
    {
        List<string> parts = [];
        if (change.Removes)
        {
            parts.Add("rule removed");
        }

        if (change.Tier is { } tier && tier != rule.Tier)
        {
            parts.Add($"tier {tier} instead of {rule.Tier}");
        }

        if (change.Deadline is { } deadline && deadline != rule.Deadline)
        {
            parts.Add($"{Say(deadline)} instead of {Say(rule.Deadline)}");
        }

        if (change.Destination is { } destination && destination != rule.Destination)
        {
            parts.Add($"to {destination} instead of {rule.Destination}");
        }

        if (change.Condition is not null)
        {
            parts.Add("condition replaced");
        }

        var what = parts.Count == 0 ? "wording" : string.Join(", ", parts);
        var accepted = change.Accepted is { } by ? $" Accepted by {by.Name}, {by.Role}, {by.Date:yyyy-MM-dd}: {by.Reason}" : "";
        return $"{policy.Citation}: {what}. {change.Why}{accepted}";
    }

    private static string Say(Deadline deadline) => $"{deadline.Amount} {(deadline.Unit is DeadlineUnit.Days ? "days" : "hours")}";

    private static byte[] Write(JsonObject json) => Encoding.UTF8.GetBytes(json.ToJsonString(Written) + "\n");
}
