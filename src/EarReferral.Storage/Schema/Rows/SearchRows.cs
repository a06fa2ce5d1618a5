namespace EarReferral.Storage.Schema.Rows;

/// <summary>A value of one search parameter of one resource.</summary>
internal abstract class SearchRow
{
    public long Key { get; init; }

    public long ResourceKey { get; init; }

    public ResourceRow? Resource { get; init; }

    public required string Parameter { get; init; }
}

internal sealed class SearchTokenRow : SearchRow
{
    public required string? System { get; init; }

    public required string Code { get; init; }
}

/// <summary>A half-open range [From, To) in Unix milliseconds; an open end is the extreme value.</summary>
internal sealed class SearchDateRow : SearchRow
{
    public required long From { get; init; }

    public required long To { get; init; }
}

/// <summary>A reference to a resource kept here, or with an empty type to an absolute address.</summary>
internal sealed class SearchReferenceRow : SearchRow
{
    public required string TargetType { get; init; }

    public required string TargetId { get; init; }
}

internal sealed class SearchTextRow : SearchRow
{
    public required string Normalised { get; init; }
}

/// <summary>Single values that the store keeps about itself.</summary>
internal sealed class StoreFactRow
{
    public required string Name { get; init; }

    public required string Value { get; set; }
}
