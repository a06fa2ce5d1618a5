namespace EarReferral.Delivery.Decisions;

/// <summary>What one attempt says about the referral or its destination.</summary>
internal abstract record Verdict
{
    /// <summary>Proven: the receiver stored it.</summary>
    /// <param name="Entries">Where each resource lives there.</param>
    public sealed record Delivered(IReadOnlyList<EntryAnswer> Entries) : Verdict;

    /// <summary>Send the same bytes with the same keys again.</summary>
    /// <param name="Reason">Why.</param>
    /// <param name="Wait">The wait the receiver asked for; null for our own backoff.</param>
    /// <param name="PossiblyProcessed">True when the receiver may have stored it: probe before sending again.</param>
    /// <param name="CountsAsFailure">False when the receiver only asked us to slow down.</param>
    public sealed record Retry(RetryReason Reason, TimeSpan? Wait, bool PossiblyProcessed, bool CountsAsFailure) : Verdict;

    /// <summary>Ask at a location for the result.</summary>
    /// <param name="ContentLocation">Where.</param>
    /// <param name="Wait">The wait the receiver asked for.</param>
    public sealed record PollAsync(string ContentLocation, TimeSpan? Wait) : Verdict;

    /// <summary>Look on the receiver whether it is there before anything else.</summary>
    /// <param name="Reason">Why.</param>
    public sealed record Probe(ProbeReason Reason) : Verdict;

    /// <summary>Sending this content again cannot help.</summary>
    /// <param name="Reason">Why.</param>
    public sealed record NeedsHuman(HumanReason Reason) : Verdict;

    /// <summary>Sending anything to this destination cannot help until somebody has put it right.</summary>
    /// <param name="Reason">Why.</param>
    public sealed record ParkDestination(ParkReason Reason) : Verdict;
}
