using Hl7.Fhir.Model;

namespace EarReferral.Storage.Search;

/// <summary>Kinds of search parameter of FHIR R4 that the store knows.</summary>
public enum SearchParameterKind
{
    Token,
    Reference,
    Date,
    Text,
}

/// <summary>One search parameter of one resource type.</summary>
public sealed record SearchParameter
{
    internal SearchParameter(
        string resource, string name, SearchParameterKind kind, string documentation, Func<Resource, IEnumerable<IndexValue>> values)
    {
        Resource = resource;
        Name = name;
        Kind = kind;
        Documentation = documentation;
        Values = values;
    }

    /// <summary>FHIR type that it searches.</summary>
    public string Resource { get; }

    /// <summary>Its name in the query.</summary>
    public string Name { get; }

    /// <summary>Its kind.</summary>
    public SearchParameterKind Kind { get; }

    /// <summary>One sentence for the capability statement.</summary>
    public string Documentation { get; }

    /// <summary>True when it alone keeps an answer small enough; a search needs at least one such parameter.</summary>
    public bool Narrows { get; init; }

    /// <summary>True when <c>_sort</c> may name it: the type's own date.</summary>
    public bool Sorts { get; init; }

    internal Func<Resource, IEnumerable<IndexValue>> Values { get; }
}
