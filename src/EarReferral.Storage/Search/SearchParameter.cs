using Hl7.Fhir.Model;

namespace EarReferral.Storage.Search;

/// <summary>Kinds of search parameter of FHIR R4 that the store knows.</summary>
public enum SearchParameterKind
{
    Token,
    Reference,
    Date,
    Text,
    Uri,
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

    /// <summary>Index version that brought it or last changed what it reads; not answered from an older index.</summary>
    public int Since { get; init; } = 2;

    /// <summary>Types that a reference leads to: the only ones a bare id can mean, and what <c>:Type</c>, chains and includes may name.</summary>
    public IReadOnlyList<string> Targets { get; init; } = [];

    /// <summary>Modifiers that are supported, as the query writes them.</summary>
    public IReadOnlyList<string> Modifiers => IsColumn ? [] : Kind switch
    {
        SearchParameterKind.Token => ["missing", "not"],
        SearchParameterKind.Reference => ["missing", .. Targets],
        SearchParameterKind.Text => ["missing", "contains"],
        SearchParameterKind.Date or SearchParameterKind.Uri => ["missing"],
    };

    /// <summary>Parameters of the referenced resource that may follow a dot: <c>patient.identifier</c>.</summary>
    public IReadOnlyList<string> Chains => Kind == SearchParameterKind.Reference && ChainTarget is not null ? ["identifier"] : [];

    /// <summary>True for what the store keeps of every resource beside its content: id and time of the version.</summary>
    internal bool IsColumn { get; init; }

    /// <summary>The type that a chain without a named type leads to.</summary>
    internal string? ChainTarget => Targets.FirstOrDefault(target => target is "Patient" or "Encounter");

    internal Func<Resource, IEnumerable<IndexValue>> Values { get; }
}
