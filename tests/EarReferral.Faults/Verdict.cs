namespace EarReferral.Faults;

/// <summary>Compares what was acknowledged, what the gateway stored and what the receiver has.</summary>
internal static class Verdict
{
    /// <summary>Every way in which the run failed, in words; empty when every acknowledged referral is there exactly once.</summary>
    public static IReadOnlyList<string> Problems(
        IReadOnlyDictionary<string, string> acknowledged,
        IReadOnlyDictionary<string, IReadOnlyList<string>> stored,
        IReadOnlyDictionary<string, int> received,
        IReadOnlyDictionary<string, IReadOnlyList<string>> timelines,
        IReadOnlyDictionary<string, IReadOnlyList<string>> attempts)
    {
        var expected = stored.Values.SelectMany(keys => keys).ToHashSet();
        return
        [
            .. acknowledged.Where(pair => pair.Value.Length == 0).Select(pair => $"{pair.Key} was acknowledged without a referral"),
            .. acknowledged.Where(pair => pair.Value.Length > 0 && !stored.ContainsKey(pair.Value)).Select(pair => $"{pair.Key} was acknowledged and is not stored"),
            .. expected.Where(key => !received.ContainsKey(key)).Select(key => $"lost: {key}"),
            .. received.Where(pair => pair.Value > 1).Select(pair => $"{pair.Value} times: {pair.Key}"),
            .. received.Keys.Where(key => !expected.Contains(key)).Select(key => $"nobody sent this: {key}"),
            .. stored.Keys.SelectMany(id => Timeline(id, timelines.GetValueOrDefault(id, []), attempts.GetValueOrDefault(id, []))),
        ];
    }

    private static IEnumerable<string> Timeline(string id, IReadOnlyList<string> timeline, IReadOnlyList<string> attempts)
    {
        if (timeline is not ["queued", ..])
        {
            yield return $"timeline of {id} does not begin with its queueing";
        }

        if (timeline.Count(kind => kind == "delivered") != 1)
        {
            yield return $"timeline of {id} has {timeline.Count(kind => kind == "delivered")} deliveries";
        }

        var begun = timeline.Count(kind => kind == "sending");
        // A worker that had lost its lease before it began to send keeps an attempt of which the timeline knows nothing.
        var ended = attempts.Count(word => word is not ("internal-error" or "unknown*"));
        if (begun < ended || ended == 0)
        {
            yield return $"timeline of {id} tells of {begun} attempts and the attempts are {ended}";
        }

        if (attempts.Count(word => word == "delivered") != 1)
        {
            yield return $"attempts of {id}: {string.Join(' ', attempts)}";
        }
    }
}
