using EarReferral.Delivery.Decisions;

namespace EarReferral.Delivery.Sending;

/// <summary>An answer or the reason why there is none.</summary>
internal abstract record AttemptResult
{
    /// <summary>A whole answer.</summary>
    /// <param name="Answer">What came back.</param>
    public sealed record Answered(Answer Answer) : AttemptResult;

    /// <summary>No whole answer.</summary>
    /// <param name="Fault">Why.</param>
    public sealed record Unanswered(TransportFault Fault) : AttemptResult;
}
