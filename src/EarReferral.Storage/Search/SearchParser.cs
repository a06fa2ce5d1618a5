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
    internal const string UnknownInclude = "unknown-include";

    /// <summary>Reads the parameters of a search of one type.</summary>
    /// <param name="type">FHIR type.</param>
    /// <param name="parameters">Names and values in the order they were sent, without those that the caller acts on itself.</param>
    /// <param name="now">Now, for the approximate comparator.</param>
    /// <param name="baseUrl">Our own base address.</param>
    /// <param name="compartment">Patient or visit that the address names before the type.</param>
    public static SearchParse Parse(
        string type, IEnumerable<KeyValuePair<string, string>> parameters, DateTimeOffset now, Uri? baseUrl = null, Compartment? compartment = null)
    {
        if (!SearchParameters.Resources.Contains(type))
        {
            return new SearchParse(null, [new SearchProblem("unknown-type", string.Empty, $"{type} cannot be searched.")]);
        }

        var reading = new SearchReading(type, now, baseUrl);
        if (compartment is not null)
        {
            reading.Within(compartment);
        }

        foreach (var (name, value) in parameters.Where(parameter => parameter.Value.Length > 0))
        {
            reading.Add(name, value);
        }

        return reading.Finish();
    }
}
