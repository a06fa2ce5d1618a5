using EarReferral.Triage.Rules;

namespace EarReferral.Triage.LocalPolicies;

/// <summary>Reads a published set together with the policy of a site.</summary>
internal static class LocalRuleSet
{
    /// <param name="published">Files of the published set.</param>
    /// <param name="overlay">Files of the policy.</param>
    /// <param name="sha256">Hash over both.</param>
    /// <param name="withEngine">See <see cref="RuleBookCheck.Run"/>.</param>
    /// <returns>The set that decides and its files, or everything that is wrong with either part.</returns>
    public static (RuleBook? Book, IReadOnlyList<string> Problems, IReadOnlyList<(string Name, byte[] Content)> Files) Read(
        IReadOnlyList<(string Name, byte[] Content)> published,
        IReadOnlyList<(string Name, byte[] Content)> overlay,
        string sha256,
        bool withEngine)
    {
        var (book, found) = new RuleBookReader(published).Read(sha256, withEngine: false);
        List<string> problems = [.. found];
        LocalPolicy? policy = null;
        if (overlay.Where(file => file.Name == RuleBook.OverlayFile).ToList() is [var (_, content)])
        {
            policy = LocalPolicyReader.Read(content, problems);
        }
        else
        {
            problems.Add($"{RuleBook.OverlayFile}: expected exactly one such file in the folder of the local policy");
        }

        if (book is null || policy is null)
        {
            return (null, problems, published);
        }

        var merge = new LocalPolicyMerge(published, book, policy, [.. overlay.Where(file => file.Name != RuleBook.OverlayFile)], problems);
        var files = merge.Run();
        var (merged, faults) = new RuleBookReader(files) { LocalChanges = merge.Words }.Read(sha256, withEngine);
        problems.AddRange(faults.Except(problems));
        if (merged is not null)
        {
            merge.CheckAdded(merged);
        }

        return (problems.Count == 0 ? merged : null, problems, files);
    }
}
