using EarReferral.Sandbox.Answering;

namespace EarReferral.Sandbox.Storing;

/// <summary>Everything received, in memory for searching and in the journal for keeping.</summary>
internal sealed class ReceiverStore : IDisposable
{
    private readonly Lock gate = new();
    private readonly Journal journal;
    private readonly Dictionary<(string Type, string Id), StoredResource> resources = [];
    private readonly Dictionary<(string Type, string Value), List<(IdentifierToken Held, string Id)>> identifiers = [];
    private readonly Dictionary<string, AwaitedAnswer> awaited = [];
    private int transactions;

    private ReceiverStore(Journal journal) => this.journal = journal;

    public static ReceiverStore Open(string folder)
    {
        var store = new ReceiverStore(Journal.Open(folder));
        foreach (var line in store.journal.Replay())
        {
            store.Apply(line);
        }

        return store;
    }

    /// <summary>Runs a search and the commit that follows from it without anybody in between.</summary>
    public T Exclusively<T>(Func<T> work)
    {
        lock (gate)
        {
            return work();
        }
    }

    public StoredResource? Read(string type, string id)
    {
        lock (gate)
        {
            return resources.GetValueOrDefault((type, id));
        }
    }

    public IReadOnlyList<StoredResource> Search(string type, IdentifierToken token)
    {
        lock (gate)
        {
            return identifiers.TryGetValue((type, token.Value), out var held)
                ? [.. held.Where(one => token.Matches(one.Held)).Select(one => one.Id).Distinct().Select(id => resources[(type, id)])]
                : [];
        }
    }

    public IReadOnlyList<StoredResource> All(string type)
    {
        lock (gate)
        {
            return [.. resources.Values.Where(resource => resource.Type == type).OrderBy(resource => resource.LastUpdated).ThenBy(resource => resource.Id, StringComparer.Ordinal)];
        }
    }

    public IReadOnlyList<AwaitedAnswer> Awaited()
    {
        lock (gate)
        {
            return [.. awaited.Values];
        }
    }

    public (int Transactions, IReadOnlyDictionary<string, int> Counts) Totals()
    {
        lock (gate)
        {
            return (transactions, resources.Keys.CountBy(key => key.Type).OrderBy(pair => pair.Key, StringComparer.Ordinal).ToDictionary());
        }
    }

    /// <summary>Writes to disk first; memory follows only what the disk holds.</summary>
    public void Commit(JournalLine line)
    {
        lock (gate)
        {
            journal.Append(line);
            Apply(line);
        }
    }

    public void Reset()
    {
        lock (gate)
        {
            journal.Clear();
            resources.Clear();
            identifiers.Clear();
            awaited.Clear();
            transactions = 0;
        }
    }

    public void Dispose() => journal.Dispose();

    private void Apply(JournalLine line)
    {
        switch (line)
        {
            case JournalLine.Accepted accepted:
                transactions++;
                foreach (var resource in accepted.Created)
                {
                    Index(resource);
                    if (resource.Type == "Task" && !resource.IsAbort && resource.Identifiers().FirstOrDefault() is { } token)
                    {
                        awaited[resource.Id] = new AwaitedAnswer(resource.Id, token, accepted.At, []);
                    }
                }

                foreach (var resource in accepted.Updated)
                {
                    Unindex(resource);
                    Index(resource);
                }

                break;
            case JournalLine.Answered answered:
                resources[("Task", answered.Task.Id)] = answered.Task;
                var answer = awaited[answered.Task.Id];
                awaited[answered.Task.Id] = answer with { Done = [.. answer.Done, answered.Step] };
                break;
            default:
                throw new InvalidOperationException($"Journal line {line.GetType().Name} is not known.");
        }
    }

    private void Unindex(StoredResource resource)
    {
        foreach (var token in resources[(resource.Type, resource.Id)].Identifiers())
        {
            identifiers[(resource.Type, token.Value)].RemoveAll(held => held.Id == resource.Id);
        }
    }

    private void Index(StoredResource resource)
    {
        resources[(resource.Type, resource.Id)] = resource;
        foreach (var token in resource.Identifiers())
        {
            if (!identifiers.TryGetValue((resource.Type, token.Value), out var held))
            {
                identifiers[(resource.Type, token.Value)] = held = [];
            }

            held.Add((token, resource.Id));
        }
    }
}
