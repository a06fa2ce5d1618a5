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
}
