namespace EarReferral.Storage.Search;

/// <summary>Reads single values of a parameter; null means malformed.</summary>
internal static class SearchTerms
{
    public static TokenTerm? Token(string text)
    {
        var parts = SearchValue.Split(text, '|').Select(SearchValue.Unescape).ToList();
        return parts switch
        {
            [{ Length: > 0 } code] => new TokenTerm(AnySystem: true, null, code),
            ["", { Length: > 0 } code] => new TokenTerm(AnySystem: false, null, code),
            [{ Length: > 0 } system, ""] => new TokenTerm(AnySystem: false, system, null),
            [{ Length: > 0 } system, { Length: > 0 } code] => new TokenTerm(AnySystem: false, system, code),
            _ => null,
        };
    }

    /// <param name="text">Id, <c>Type/id</c> or absolute address.</param>
    /// <param name="type">The one type that the parameter or a modifier allows, or null for several.</param>
    /// <param name="baseUrl">Our own base address, below which an absolute address means a resource kept here.</param>
    public static ReferenceTerm? Reference(string text, string? type, Uri? baseUrl)
    {
        if (SearchValue.Unescape(text) is not { Length: > 0 } value)
        {
            return null;
        }

        var local = baseUrl is not null && value.StartsWith(baseUrl.AbsoluteUri.TrimEnd('/') + "/", StringComparison.Ordinal)
            ? value[(baseUrl.AbsoluteUri.TrimEnd('/').Length + 1)..]
            : value;
        return local.Split('/') switch
        {
            [{ Length: > 0 } id] when !id.Contains(':', StringComparison.Ordinal) => new ReferenceTerm(type, id),
            [{ Length: > 0 } named, { Length: > 0 } id] => type is null || type == named ? new ReferenceTerm(named, id) : null,
            _ when Uri.TryCreate(value, UriKind.Absolute, out _) => new ReferenceTerm(string.Empty, value),
            _ => null,
        };
    }

    public static DateTerm? Date(string text, DateTimeOffset now)
    {
        var (comparator, rest) = text.Length > 2 && char.IsAsciiLetter(text[0]) ? (Prefix(text[..2]), text[2..]) : (Comparator.Equal, text);
        return comparator is { } known && DateRange.Parse(rest) is { } range
            ? new DateTerm(known, known == Comparator.Approximate ? Widen(range, now.ToUnixTimeMilliseconds()) : range)
            : null;
    }

    private static Comparator? Prefix(string prefix) => prefix switch
    {
        "eq" => Comparator.Equal,
        "ne" => Comparator.NotEqual,
        "gt" => Comparator.Greater,
        "lt" => Comparator.Less,
        "ge" => Comparator.GreaterOrEqual,
        "le" => Comparator.LessOrEqual,
        "sa" => Comparator.StartsAfter,
        "eb" => Comparator.EndsBefore,
        "ap" => Comparator.Approximate,
        _ => null,
    };

    /// <summary>By a tenth of the distance to now, which FHIR R4 search recommends.</summary>
    private static DateRange Widen(DateRange range, long now)
    {
        var margin = Math.Max(Math.Abs(now - range.From), Math.Abs(now - range.To)) / 10;
        return new DateRange(range.From - margin, range.To + margin);
    }
}
