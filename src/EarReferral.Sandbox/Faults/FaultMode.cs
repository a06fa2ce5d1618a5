namespace EarReferral.Sandbox.Faults;

/// <summary>Ways in which the receiver can be made to fail.</summary>
internal enum FaultMode
{
    /// <summary>Behaves.</summary>
    None,

    /// <summary>Answers with an error status and stores nothing.</summary>
    Status,

    /// <summary>Asks to come back later and stores nothing.</summary>
    RetryAfter,

    /// <summary>Stores everything, then cuts the connection instead of answering.</summary>
    ResetAfterAccept,

    /// <summary>Cuts the connection before reading anything.</summary>
    ResetBefore,

    /// <summary>Waits, then behaves.</summary>
    Slow,

    /// <summary>Answers 200 with a web page, as something between the two would; stores nothing.</summary>
    Garbage200,

    /// <summary>Stores everything, but answers about one entry too few.</summary>
    MissingEntry,

    /// <summary>Waits for longer than a sender does and then stores everything, whether or not the sender is still there.</summary>
    Late,

    /// <summary>Stores everything, sends the first half of the answer and cuts the connection.</summary>
    HalfAnswer,

    /// <summary>One of six, chosen by the seed: 503, 429 with <c>Retry-After</c>, <see cref="ResetAfterAccept"/>, <see cref="Late"/>, <see cref="Garbage200"/>, <see cref="HalfAnswer"/>.</summary>
    Mix,
}
