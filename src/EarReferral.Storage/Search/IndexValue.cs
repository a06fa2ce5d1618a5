namespace EarReferral.Storage.Search;

/// <summary>A value that a search parameter reads from a resource.</summary>
internal abstract record IndexValue
{
    private IndexValue()
    {
    }

    public sealed record Token(string? System, string Code) : IndexValue;

    public sealed record Date(DateRange Range) : IndexValue;

    /// <summary>A resource kept here by type and id, or with an empty type an absolute address.</summary>
    public sealed record Reference(string TargetType, string TargetId) : IndexValue;

    public sealed record Text(string Value) : IndexValue;
}
