namespace EarReferral.Storage.Search;

/// <summary>One parameter of a search: a resource matches when any of its terms does.</summary>
internal abstract record SearchCriterion
{
    private SearchCriterion()
    {
    }

    public sealed record Ids(IReadOnlyList<string> AnyOf) : SearchCriterion;

    public sealed record LastUpdated(IReadOnlyList<DateTerm> AnyOf) : SearchCriterion;

    /// <param name="Not">True for <c>:not</c>: no value is any of these, a resource without a value among them.</param>
    public sealed record Tokens(string Parameter, IReadOnlyList<TokenTerm> AnyOf, bool Not = false) : SearchCriterion;

    public sealed record Dates(string Parameter, IReadOnlyList<DateTerm> AnyOf) : SearchCriterion;

    public sealed record References(string Parameter, IReadOnlyList<ReferenceTerm> AnyOf) : SearchCriterion;

    /// <param name="Anywhere">True for <c>:contains</c>, else the start of the value.</param>
    public sealed record Texts(string Parameter, IReadOnlyList<string> AnyOf, bool Anywhere = false) : SearchCriterion;

    /// <summary><c>patient.identifier</c>: the reference leads to a resource within reach that has one of the identifiers.</summary>
    public sealed record ByIdentifier(string Parameter, string TargetType, IReadOnlyList<TokenTerm> AnyOf) : SearchCriterion;

    /// <summary>Belongs to the compartment through any of the parameters.</summary>
    public sealed record InCompartment(IReadOnlyList<string> AnyParameter, string Type, string Id) : SearchCriterion;

    /// <summary><c>:missing</c>: the resource has no value for the parameter, or has one.</summary>
    public sealed record Presence(SearchParameter Parameter, bool IsMissing) : SearchCriterion;
}

/// <summary>A token to match.</summary>
/// <param name="AnySystem">True when no system was named.</param>
/// <param name="System">System; null with <paramref name="AnySystem"/> false asks for a token without system.</param>
/// <param name="Code">Code; null for any code of the system.</param>
internal sealed record TokenTerm(bool AnySystem, string? System, string? Code);

/// <summary>A reference to match; without type any type, with an empty type an absolute address.</summary>
internal sealed record ReferenceTerm(string? Type, string Id);

/// <summary>Comparators of FHIR R4 search.</summary>
internal enum Comparator
{
    Equal,
    NotEqual,
    Greater,
    Less,
    GreaterOrEqual,
    LessOrEqual,
    StartsAfter,
    EndsBefore,
    Approximate,
}

/// <summary>A span to compare with.</summary>
internal sealed record DateTerm(Comparator Comparator, DateRange Range);
