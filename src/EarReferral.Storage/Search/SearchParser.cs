using System.Globalization;

namespace EarReferral.Storage.Search;

/// <summary>Reads a search by the table of parameters; everything wrong comes back as data.</summary>
/// <remarks>
/// Names and values are percent-decoded by the caller. An empty value is ignored, as FHIR R4 says. An unknown modifier is
/// always refused: ignoring it would widen the answer.
/// </remarks>
public static class SearchParser
{
    /// <summary>Matches on a page when the search does not say.</summary>
    public const int DefaultCount = 50;

    /// <summary>Most matches on a page, whatever the search says.</summary>
    public const int GreatestCount = 200;

    internal const string UnknownParameter = "unknown-parameter";

    /// <summary>Reads the parameters of a search of one type.</summary>
    /// <param name="type">FHIR type.</param>
    /// <param name="parameters">Names and values in the order they were sent, without those that the caller acts on itself.</param>
    /// <param name="now">Now, for the approximate comparator.</param>
    /// <param name="baseUrl">Our own base address.</param>
    public static SearchParse Parse(
        string type, IEnumerable<KeyValuePair<string, string>> parameters, DateTimeOffset now, Uri? baseUrl = null)
    {
        if (!SearchParameters.Resources.Contains(type))
        {
            return new SearchParse(null, [new SearchProblem("unknown-type", string.Empty, $"{type} cannot be searched.")]);
        }

        var reading = new Reading(type, now, baseUrl);
        foreach (var (name, value) in parameters.Where(parameter => parameter.Value.Length > 0))
        {
            reading.Add(name, value);
        }

        return reading.Finish();
    }

    private sealed class Reading(string type, DateTimeOffset now, Uri? baseUrl)
    {
        private readonly List<SearchCriterion> criteria = [];
        private readonly List<KeyValuePair<string, string>> effective = [];
        private readonly List<SearchProblem> problems = [];
        private int count = DefaultCount;
        private SearchSort sort = SearchSort.LastUpdated;
        private bool descending;
        private bool narrows;

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
                problems.Add(new SearchProblem(
                    "too-costly",
                    string.Empty,
                    $"The search needs at least one of {string.Join(", ", names)}, _id, _lastUpdated."));
            }

            return problems.Any(problem => problem.AlwaysRefused)
                ? new SearchParse(null, problems)
                : new SearchParse(
                    new SearchQuery(type, criteria, effective) { Count = count, Sort = sort, Descending = descending }, problems);
        }

        private void Row(string name, string value)
        {
            var (head, modifier) = name.Split(':', 2) is [var first, var second] ? (first, second) : (name, null);
            if (head.Split('.', 2) is [var reference, "identifier"] && modifier is null
                && reference is "patient" or "subject" && SearchParameters.Find(type, reference) is not null)
            {
                Criterion(name, value, SearchTerms.Token, terms => new SearchCriterion.ByPatientIdentifier(reference, terms));
                narrows = true;
                return;
            }

            if (SearchParameters.Find(type, head) is not { } row)
            {
                // With a modifier or a chain too: what is not known is not used, and the caller is told.
                problems.Add(new SearchProblem(UnknownParameter, name, $"{type} has no search parameter of this name here."));
                return;
            }

            narrows |= row.Narrows && modifier != "missing";
            if (modifier == "missing")
            {
                Missing(row, name, value);
                return;
            }

            if (modifier is not null && !(row.Kind == SearchParameterKind.Reference && IsTypeName(modifier)))
            {
                problems.Add(new SearchProblem("unknown-modifier", name, "This modifier is not supported for this parameter."));
                return;
            }

            switch (row.Kind)
            {
                case SearchParameterKind.Token:
                    Criterion(name, value, SearchTerms.Token, terms => new SearchCriterion.Tokens(row.Name, terms));
                    break;
                case SearchParameterKind.Date:
                    Criterion(name, value, text => SearchTerms.Date(text, now), terms => new SearchCriterion.Dates(row.Name, terms));
                    break;
                case SearchParameterKind.Reference:
                    Criterion(
                        name,
                        value,
                        text => SearchTerms.Reference(text, modifier ?? (row.Name == "patient" ? "Patient" : null), baseUrl),
                        terms => new SearchCriterion.References(row.Name, terms));
                    break;
                case SearchParameterKind.Text:
                    Criterion(
                        name,
                        value,
                        text => SearchValue.Unescape(text)?.Trim().ToLowerInvariant(),
                        terms => new SearchCriterion.Texts(row.Name, terms));
                    break;
            }
        }

        /// <summary>A FHIR type that references can lead to: the modifier form <c>subject:Patient</c>.</summary>
        private static bool IsTypeName(string modifier) =>
            modifier is "Patient" or "Practitioner" or "PractitionerRole" or "Organization" or "Encounter" or "Procedure"
                or "Observation" or "Condition" or "ServiceRequest" or "Task" or "Composition";

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

        private void Count(string value)
        {
            if (!int.TryParse(value, NumberStyles.None, CultureInfo.InvariantCulture, out var wanted))
            {
                problems.Add(new SearchProblem("malformed-value", "_count", "The value of _count is a whole number from 0."));
                return;
            }

            count = Math.Min(wanted, GreatestCount);
        }

        private void Sort(string value)
        {
            descending = value[0] == '-';
            var key = descending ? value[1..] : value;
            if (key == "_lastUpdated")
            {
                sort = SearchSort.LastUpdated;
            }
            else if (SearchParameters.Find(type, key) is { Sorts: true })
            {
                sort = SearchSort.Date;
            }
            else
            {
                problems.Add(new SearchProblem("unknown-sort", "_sort", "The result can be sorted by _lastUpdated or the type's own date, one key."));
            }
        }
    }
}
