using System.Globalization;

namespace EarReferral.Storage.Search;

/// <summary>One search while it is read, parameter by parameter.</summary>
internal sealed class SearchReading(string type, DateTimeOffset now, Uri? baseUrl)
{
    private readonly List<SearchCriterion> criteria = [];
    private readonly List<SearchParameter> reads = [];
    private readonly List<SearchInclude> includes = [];
    private readonly List<KeyValuePair<string, string>> effective = [];
    private readonly List<SearchProblem> problems = [];
    private int count = SearchParser.DefaultCount;
    private SearchSort sort = SearchSort.FirstStored;
    private bool descending;
    private bool withTotal = true;
    private bool narrows;

    public void Within(Compartment compartment)
    {
        if (compartment.Parameters(type) is not { Count: > 0 } parameters)
        {
            problems.Add(new SearchProblem("unknown-type", string.Empty, $"{type} is not part of a {compartment.Type} compartment."));
            return;
        }

        criteria.Add(new SearchCriterion.InCompartment(parameters, compartment.Type, compartment.Id));
        reads.AddRange(parameters.Select(name => SearchParameters.Find(type, name)!));
        narrows = true;
    }

    public void Add(string name, string value)
    {
        var before = problems.Count;
        switch (name)
        {
            case "_count":
                Count(value);
                break;
            case "_sort":
                Sort(value);
                break;
            case "_total":
                Total(value);
                break;
            case "_include" or "_include:iterate" or "_revinclude" or "_revinclude:iterate":
                Include(name, value);
                break;
            case "_id":
                Criterion(name, value, text => SearchValue.Unescape(text), ids => new SearchCriterion.Ids(ids));
                narrows = true;
                break;
            case "_lastUpdated":
                Criterion(name, value, text => SearchTerms.Date(text, now), terms => new SearchCriterion.LastUpdated(terms));
                narrows = true;
                break;
            default:
                Row(name, value);
                break;
        }

        if (problems.Count == before)
        {
            effective.Add(new KeyValuePair<string, string>(name, value));
        }
    }

    public SearchParse Finish()
    {
        if (!narrows && !problems.Any(problem => problem.AlwaysRefused))
        {
            var names = SearchParameters.Of(type).Where(row => row.Narrows).Select(row => row.Name);
            problems.Add(new SearchProblem("too-costly", string.Empty, $"The search needs at least one of {string.Join(", ", names)}."));
        }

        return problems.Any(problem => problem.AlwaysRefused)
            ? new SearchParse(null, problems)
            : new SearchParse(
                new SearchQuery(type, criteria, effective)
                {
                    Count = count,
                    Sort = sort,
                    Descending = descending,
                    WithTotal = withTotal,
                    Includes = includes,
                    Reads = [.. reads, .. includes.Select(include => include.Parameter)],
                },
                problems);
    }

    private void Row(string name, string value)
    {
        if (name.Split('.', 2) is [var chained, "identifier"] && Chain(chained) is { } link)
        {
            Criterion(name, value, SearchTerms.Token, terms => new SearchCriterion.ByIdentifier(link.Row.Name, link.Target, terms));
            reads.Add(link.Row);
            narrows = true;
            return;
        }

        var (head, modifier) = name.Split(':', 2) is [var first, var second] ? (first, second) : (name, null);
        if (SearchParameters.Find(type, head) is not { } row)
        {
            // With a modifier or a chain too: what is not known is not used, and the caller is told.
            problems.Add(new SearchProblem(SearchParser.UnknownParameter, name, $"{type} has no search parameter of this name here."));
            return;
        }

        if (modifier is not null && !row.Modifiers.Contains(modifier))
        {
            problems.Add(new SearchProblem("unknown-modifier", name, $"This modifier is not supported for this parameter{(row.Modifiers.Count == 0 ? "" : $"; supported: {string.Join(", ", row.Modifiers)}")}."));
            return;
        }

        reads.Add(row);
        narrows |= row.Narrows && modifier is not ("missing" or "not");
        if (modifier == "missing")
        {
            Missing(row, name, value);
            return;
        }

        switch (row.Kind)
        {
            case SearchParameterKind.Token:
                Criterion(name, value, SearchTerms.Token, terms => new SearchCriterion.Tokens(row.Name, terms, modifier == "not"));
                break;
            case SearchParameterKind.Date:
                Criterion(name, value, text => SearchTerms.Date(text, now), terms => new SearchCriterion.Dates(row.Name, terms));
                break;
            case SearchParameterKind.Reference:
                Criterion(
                    name,
                    value,
                    text => SearchTerms.Reference(text, modifier ?? (row.Targets is [var only] ? only : null), baseUrl),
                    terms => new SearchCriterion.References(row.Name, terms));
                break;
            case SearchParameterKind.Uri:
                Criterion(
                    name,
                    value,
                    text => SearchValue.Unescape(text) is { Length: > 0 } address ? new ReferenceTerm(string.Empty, address) : null,
                    terms => new SearchCriterion.References(row.Name, terms));
                break;
            case SearchParameterKind.Text:
                Criterion(
                    name,
                    value,
                    text => SearchValue.Unescape(text)?.Trim().ToLowerInvariant(),
                    terms => new SearchCriterion.Texts(row.Name, terms, modifier == "contains"));
                break;
        }
    }

    /// <summary>The reference before the dot, <c>patient</c> or <c>subject:Patient</c>, and the type it leads to.</summary>
    private (SearchParameter Row, string Target)? Chain(string name)
    {
        var parts = name.Split(':', 2);
        return SearchParameters.Find(type, parts[0]) is { ChainTarget: { } target } row && (parts.Length == 1 || parts[1] == target) ? (row, target) : null;
    }

    private void Criterion<T>(string name, string value, Func<string, T?> read, Func<IReadOnlyList<T>, SearchCriterion> criterion)
        where T : class
    {
        var terms = SearchValue.Split(value, ',').Select(read).ToList();
        if (terms.Any(term => term is null or ""))
        {
            problems.Add(new SearchProblem(
                "malformed-value",
                name,
                value.Contains(' ', StringComparison.Ordinal)
                    ? "The value cannot be read; a plus sign in a URL must be written %2B, or it arrives as a space."
                    : "The value cannot be read as this parameter's kind of value."));
            return;
        }

        criteria.Add(criterion([.. terms.OfType<T>()]));
    }

    private void Missing(SearchParameter row, string name, string value)
    {
        if (value is not ("true" or "false"))
        {
            problems.Add(new SearchProblem("malformed-value", name, "The value of :missing is true or false."));
            return;
        }

        criteria.Add(new SearchCriterion.Presence(row, value == "true"));
    }

    /// <summary><c>Type:parameter</c> or <c>Type:parameter:Target</c>; what is not known here brings nothing along, and the caller is told.</summary>
    private void Include(string name, string value)
    {
        var isReverse = name.StartsWith("_rev", StringComparison.Ordinal);
        var isIterate = name.EndsWith(":iterate", StringComparison.Ordinal);
        var parts = value.Split(':');
        if (parts.Length is 2 or 3
            && SearchParameters.Find(parts[0], parts[1]) is { Kind: SearchParameterKind.Reference } row
            && (parts.Length == 2 || row.Targets.Contains(parts[2]))
            && (isIterate || (isReverse ? row.Targets.Contains(type) : row.Resource == type)))
        {
            includes.Add(new SearchInclude(row, parts.Length == 3 ? parts[2] : null, isReverse, isIterate));
            return;
        }

        problems.Add(new SearchProblem(
            SearchParser.UnknownInclude, name, $"Nothing is included by this value; it names a reference parameter {(isReverse ? "that leads to" : "of")} {type}, as Type:parameter."));
    }

    private void Count(string value)
    {
        if (!int.TryParse(value, NumberStyles.None, CultureInfo.InvariantCulture, out var wanted))
        {
            problems.Add(new SearchProblem("malformed-value", "_count", "The value of _count is a whole number from 0."));
            return;
        }

        count = Math.Min(wanted, SearchParser.GreatestCount);
    }

    private void Total(string value)
    {
        if (value is not ("none" or "estimate" or "accurate"))
        {
            problems.Add(new SearchProblem("malformed-value", "_total", "The value of _total is none, estimate or accurate."));
            return;
        }

        withTotal = value != "none";
    }

    private void Sort(string value)
    {
        descending = value[0] == '-';
        var key = descending ? value[1..] : value;
        if (key == "_lastUpdated")
        {
            sort = SearchSort.LastUpdated;
        }
        else if (SearchParameters.Find(type, key) is { Sorts: true } row)
        {
            sort = SearchSort.Date;
            reads.Add(row);
        }
        else
        {
            problems.Add(new SearchProblem("unknown-sort", "_sort", "The result can be sorted by _lastUpdated or the type's own date, one key."));
        }
    }
}
