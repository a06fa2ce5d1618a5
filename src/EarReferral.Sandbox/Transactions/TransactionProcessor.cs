using System.Text.Json.Nodes;
using EarReferral.Sandbox.Storing;

namespace EarReferral.Sandbox.Transactions;

/// <summary>Carries out a transaction: all of it or nothing (FHIR R4, RESTful API, transaction).</summary>
internal sealed class TransactionProcessor(ReceiverStore store, SandboxOptions options, TimeProvider time)
{
    public async Task<TransactionOutcome> ProcessAsync(byte[] body)
    {
        var (entries, issues) = BundleForm.Read(body, options.Updates);
        if (issues.Count > 0)
        {
            return new TransactionOutcome.Refused(issues);
        }

        if (options.CreateGap is not { } gap)
        {
            return store.Exclusively(() => Create(Look(entries)));
        }

        var looked = Look(entries);
        await Task.Delay(gap, time);
        return Create(looked);
    }

    private Looked Look(IReadOnlyList<TransactionEntry> entries)
    {
        var issues = new List<Issue>();
        var existing = new Dictionary<int, StoredResource>();
        var targets = new Dictionary<string, string>();
        foreach (var entry in entries)
        {
            if (Existing(entry, issues) is { } found)
            {
                existing[entry.Index] = found;
            }

            targets[entry.FullUrl] = existing.TryGetValue(entry.Index, out var held) ? held.Reference : $"{entry.Type}/{Guid.NewGuid()}";
        }

        foreach (var entry in entries)
        {
            // Also the references of a body that will be ignored: a sender whose links break only on replay has the same fault.
            Resolve(entry, targets, issues);
        }

        return new Looked(entries, existing, targets, issues);
    }

    private TransactionOutcome Create(Looked looked)
    {
        var (entries, existing, targets, issues) = looked;
        if (issues.Count > 0)
        {
            return new TransactionOutcome.Refused(issues);
        }

        var now = time.GetUtcNow();
        var outcomes = entries
            .Select(entry => existing.TryGetValue(entry.Index, out var held)
                ? entry.Updates
                    ? new EntryOutcome(StoredResource.Of(ReferenceWalk.Rewrite(entry.Resource, targets), held.Id, held.Version + 1, now), Created: false, Updated: true)
                    : new EntryOutcome(held, Created: false)
                : new EntryOutcome(StoredResource.Of(ReferenceWalk.Rewrite(entry.Resource, targets), targets[entry.FullUrl].Split('/')[1], 1, now), Created: true))
            .ToList();
        if (outcomes.Any(outcome => outcome.Created || outcome.Updated))
        {
            store.Commit(new JournalLine.Accepted(now, [.. outcomes.Where(outcome => outcome.Created).Select(outcome => outcome.Resource)])
            {
                Updated = [.. outcomes.Where(outcome => outcome.Updated).Select(outcome => outcome.Resource)],
            });
        }

        return new TransactionOutcome.Accepted(outcomes);
    }

    private StoredResource? Existing(TransactionEntry entry, List<Issue> issues)
    {
        if (entry.Condition is null)
        {
            return null;
        }

        var path = $"{entry.Path}.request.{(entry.Updates ? "url" : "ifNoneExist")}";
        if (ConditionalQuery.Parse(entry.Condition) is not { } token)
        {
            issues.Add(new Issue(400, "not-supported", path, "A condition is answered for one identifier only."));
            return null;
        }

        var found = store.Search(entry.Type, token);
        if (found.Count > 1)
        {
            issues.Add(new Issue(412, "multiple-matches", path, $"{found.Count} resources have this identifier."));
        }

        return found.Count == 1 ? found[0] : null;
    }

    private void Resolve(TransactionEntry entry, Dictionary<string, string> targets, List<Issue> issues)
    {
        foreach (var (path, reference) in ReferenceWalk.References(entry.Resource, $"{entry.Path}.resource"))
        {
            if (reference.Contains('?', StringComparison.Ordinal))
            {
                ResolveConditional(path, reference, targets, issues);
            }
            else if (!Resolves(entry.Resource, reference, targets))
            {
                issues.Add(new Issue(400, "not-found", path, "The reference leads to nothing in the Bundle or on this server."));
            }
        }
    }

    private bool Resolves(JsonObject resource, string reference, Dictionary<string, string> targets)
    {
        if (reference.StartsWith('#'))
        {
            return reference.Length == 1
                || (resource["contained"] is JsonArray contained && contained.Any(inner => (string?)inner!["id"] == reference[1..]));
        }

        return targets.ContainsKey(reference)
            || (reference.Split('/') is [{ Length: > 0 } type, { Length: > 0 } id] && store.Read(type, id) is not null);
    }

    private void ResolveConditional(string path, string reference, Dictionary<string, string> targets, List<Issue> issues)
    {
        var parts = reference.Split('?', 2);
        if (ConditionalQuery.Parse(parts[1]) is not { } token)
        {
            issues.Add(new Issue(400, "not-supported", path, "A conditional reference is answered for one identifier only."));
            return;
        }

        var found = store.Search(parts[0], token);
        if (found.Count == 1)
        {
            targets[reference] = found[0].Reference;
        }
        else
        {
            issues.Add(new Issue(412, found.Count == 0 ? "not-found" : "multiple-matches", path, $"{found.Count} resources have this identifier."));
        }
    }

    /// <summary>What the look for existing resources found.</summary>
    private sealed record Looked(
        IReadOnlyList<TransactionEntry> Entries, Dictionary<int, StoredResource> Existing, Dictionary<string, string> Targets, List<Issue> Issues);
}
