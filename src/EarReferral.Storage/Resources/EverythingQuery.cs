namespace EarReferral.Storage.Resources;

/// <summary>What to return of everything that is kept about a patient or a visit.</summary>
/// <param name="From">Visits that ended at or after this instant; null for no limit. Limits what belongs to a visit.</param>
/// <param name="To">Visits that began before this instant; null for no limit.</param>
/// <param name="Since">Only what was stored at or after this instant.</param>
/// <param name="Types">Only these types; empty for all.</param>
/// <param name="Count">Most resources on a page.</param>
/// <param name="After">Place in the order after which the page begins; 0 for the first.</param>
public sealed record EverythingQuery(
    DateTimeOffset? From, DateTimeOffset? To, DateTimeOffset? Since, IReadOnlyList<string> Types, int Count, long After);

/// <summary>A page of everything about a patient or a visit.</summary>
/// <param name="Entries">Resources of this page, the oldest record first.</param>
/// <param name="Total">Resources over all pages.</param>
/// <param name="Next">Where the next page begins; null on the last.</param>
public sealed record EverythingPage(IReadOnlyList<StoredResource> Entries, int Total, long? Next);
