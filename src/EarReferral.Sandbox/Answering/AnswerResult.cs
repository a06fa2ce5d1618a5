namespace EarReferral.Sandbox.Answering;

/// <summary>How the gateway took an answer.</summary>
internal abstract record AnswerResult
{
    /// <summary>The gateway holds the new state.</summary>
    public sealed record Told : AnswerResult;

    /// <summary>The Task has moved on or was withdrawn; there is nothing left to tell.</summary>
    public sealed record Overtaken(string Status) : AnswerResult;

    /// <summary>Not told; worth another attempt.</summary>
    public sealed record Postponed(string Reason) : AnswerResult;
}
