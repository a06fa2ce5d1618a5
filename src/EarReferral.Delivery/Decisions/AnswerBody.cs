namespace EarReferral.Delivery.Decisions;

/// <summary>What a body turned out to be.</summary>
internal abstract record AnswerBody
{
    /// <summary>A Bundle of type transaction-response.</summary>
    /// <param name="Entries">One answer per entry, in order.</param>
    public sealed record TransactionResponse(IReadOnlyList<EntryAnswer> Entries) : AnswerBody;

    /// <summary>A Bundle of type message that answers one of ours.</summary>
    /// <param name="Identifier"><c>MessageHeader.response.identifier</c>: the id of our message.</param>
    /// <param name="Code"><c>ok</c>, <c>transient-error</c> or <c>fatal-error</c>.</param>
    /// <param name="Issues">What the OperationOutcome in it lists.</param>
    public sealed record MessageResponse(string? Identifier, string? Code, IReadOnlyList<AnswerIssue> Issues) : AnswerBody;

    /// <summary>An OperationOutcome.</summary>
    /// <param name="Issues">Every issue it lists.</param>
    public sealed record Outcome(IReadOnlyList<AnswerIssue> Issues) : AnswerBody;

    /// <summary>A Bundle of type searchset.</summary>
    /// <param name="Matches">The ServiceRequests in it.</param>
    public sealed record SearchResult(IReadOnlyList<SearchMatch> Matches) : AnswerBody;

    /// <summary>Anything else, an empty body included.</summary>
    /// <param name="AboutIdempotencyKey">True when it speaks of the idempotency key.</param>
    public sealed record Other(bool AboutIdempotencyKey = false) : AnswerBody;
}

/// <summary><c>Bundle.entry.response</c> of one entry.</summary>
/// <param name="Status">Status as text, such as <c>201 Created</c>; null when missing.</param>
/// <param name="Location">Where the resource now lives.</param>
/// <param name="ETag">Its version.</param>
internal sealed record EntryAnswer(string? Status, string? Location, string? ETag)
{
    /// <summary>True for a status of the two hundreds.</summary>
    public bool Succeeded => Status is { Length: >= 3 } text && text[0] == '2' && char.IsAsciiDigit(text[1]) && char.IsAsciiDigit(text[2])
        && (text.Length == 3 || !char.IsAsciiDigit(text[3]));
}

/// <summary>One ServiceRequest of a search result.</summary>
/// <param name="Location">Type and id on the receiver.</param>
/// <param name="ETag">Its version.</param>
/// <param name="Identifiers">Its identifiers as <c>system|value</c>.</param>
internal sealed record SearchMatch(string? Location, string? ETag, IReadOnlyList<string> Identifiers);
