namespace EarReferral.Storage.Search;

/// <summary>What a result is ordered by.</summary>
public enum SearchSort
{
    /// <summary>The order in which they were first stored. Nothing moves in it, so pages neither lose nor repeat what changes meanwhile.</summary>
    FirstStored,

    /// <summary>When the current version was stored.</summary>
    LastUpdated,

    /// <summary>The type's own date.</summary>
    Date,
}

/// <summary>A search that was understood; made by <see cref="SearchParser"/> only.</summary>
public sealed record SearchQuery
{
    internal SearchQuery(string type, IReadOnlyList<SearchCriterion> criteria, IReadOnlyList<KeyValuePair<string, string>> effective)
    {
        Type = type;
        Criteria = criteria;
        Effective = effective;
    }

    /// <summary>FHIR type searched.</summary>
    public string Type { get; }

    /// <summary>The parameters that were used, for the self link.</summary>
    public IReadOnlyList<KeyValuePair<string, string>> Effective { get; }

    /// <summary>Most matches on one page; 0 asks for the total alone.</summary>
    public int Count { get; init; } = SearchParser.DefaultCount;

    /// <summary>Order.</summary>
    public SearchSort Sort { get; init; } = SearchSort.FirstStored;

    /// <summary>True for the greatest first.</summary>
    public bool Descending { get; init; }

    /// <summary>False when the caller does not want the total.</summary>
    public bool WithTotal { get; init; } = true;

    /// <summary>What comes along with the matches.</summary>
    public IReadOnlyList<SearchInclude> Includes { get; init; } = [];

    internal IReadOnlyList<SearchCriterion> Criteria { get; }

    /// <summary>Parameters whose index it reads.</summary>
    internal IReadOnlyList<SearchParameter> Reads { get; init; } = [];
}

/// <summary>One <c>_include</c> or <c>_revinclude</c>.</summary>
/// <param name="Parameter">The reference parameter that is followed.</param>
/// <param name="Target">Only targets of this type; null for any.</param>
/// <param name="Reverse">True when followed from target to source.</param>
/// <param name="Iterate">True when followed from what was included too.</param>
public sealed record SearchInclude(SearchParameter Parameter, string? Target, bool Reverse, bool Iterate);

/// <summary>Something wrong with a search.</summary>
/// <param name="Code">Stable id: <c>unknown-parameter</c>, <c>unknown-modifier</c>, <c>malformed-value</c>, <c>unknown-sort</c>,
/// <c>unknown-include</c>, <c>too-costly</c>, <c>unknown-type</c>.</param>
/// <param name="Parameter">The parameter as it was sent, empty for the search as a whole.</param>
/// <param name="Sentence">One sentence for the caller; never repeats the value.</param>
public sealed record SearchProblem(string Code, string Parameter, string Sentence)
{
    /// <summary>False for an unknown parameter or include alone: a lenient caller gets the wider or barer answer and is told.</summary>
    public bool AlwaysRefused => Code is not (SearchParser.UnknownParameter or SearchParser.UnknownInclude);
}

/// <summary>How a search was understood.</summary>
/// <param name="Query">The search; null when a problem must be refused.</param>
/// <param name="Problems">Everything that was wrong.</param>
public sealed record SearchParse(SearchQuery? Query, IReadOnlyList<SearchProblem> Problems);

/// <summary>A page of matches.</summary>
/// <param name="Entries">Matches of this page.</param>
/// <param name="Total">Matches over all pages; null where the caller does not want to know.</param>
/// <param name="Next">Opaque cursor of the next page, null on the last.</param>
/// <param name="Withheld">Patients within reach that have the NHS number asked for and are left out until it is settled who they are.</param>
/// <param name="Included">What the matches of this page bring along, none of them among the matches.</param>
/// <param name="IsCutShort">True when more would have come along than one page carries.</param>
public sealed record SearchPage(
    IReadOnlyList<Resources.StoredResource> Entries,
    int? Total,
    string? Next,
    int Withheld,
    IReadOnlyList<Resources.StoredResource> Included,
    bool IsCutShort = false);
