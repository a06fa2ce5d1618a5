using EarReferral.Sandbox.Storing;

namespace EarReferral.Sandbox.Transactions;

/// <summary>What became of a transaction.</summary>
internal abstract record TransactionOutcome
{
    /// <summary>Everything is stored; one item per entry, in the order of the entries.</summary>
    public sealed record Accepted(IReadOnlyList<EntryOutcome> Entries) : TransactionOutcome;

    /// <summary>Nothing is stored.</summary>
    public sealed record Refused(IReadOnlyList<Issue> Issues) : TransactionOutcome
    {
        public int Status => Issues.Max(issue => issue.Status);
    }
}

/// <summary>What one entry led to.</summary>
/// <param name="Resource">The resource created, or the one that was already there.</param>
/// <param name="Created">False when it was there already.</param>
/// <param name="Updated">True when it was there and has a new version.</param>
internal sealed record EntryOutcome(StoredResource Resource, bool Created, bool Updated = false);
