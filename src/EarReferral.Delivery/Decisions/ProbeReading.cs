namespace EarReferral.Delivery.Decisions;

/// <summary>What the receiver says when asked whether it has a referral.</summary>
internal enum ProbeFinding
{
    /// <summary>It has exactly one.</summary>
    Found,

    /// <summary>It has none.</summary>
    Missing,

    /// <summary>It has several.</summary>
    FoundTwice,

    /// <summary>It did not say.</summary>
    Unclear,
}

/// <summary>Judges the answer to a probe.</summary>
internal static class ProbeReading
{
    /// <summary>What the answer says. Only matches that carry the identifier count: a server may ignore a search parameter it does not know.</summary>
    public static (ProbeFinding Finding, IReadOnlyList<EntryAnswer> Entries) Read(Answer answer, string identifier)
    {
        if (answer is not { StatusCode: 200, Body: AnswerBody.SearchResult result })
        {
            return (ProbeFinding.Unclear, []);
        }

        var ours = result.Matches.Where(match => match.Identifiers.Contains(identifier, StringComparer.Ordinal))
            .Select(match => new EntryAnswer("200", match.Location, match.ETag)).ToList();
        return ours.Count switch
        {
            1 => (ProbeFinding.Found, ours),
            > 1 => (ProbeFinding.FoundTwice, ours),
            // Only strangers came back: the search was not understood, which says nothing about our referral.
            _ => (result.Matches.Count == 0 ? ProbeFinding.Missing : ProbeFinding.Unclear, []),
        };
    }

    /// <summary>The decision that follows; null when the same bytes may be sent now.</summary>
    /// <param name="reason">Why it was probed.</param>
    /// <param name="finding">What the probe found.</param>
    /// <param name="entries">Where it lives, when found.</param>
    /// <param name="unprovenBefore">True when an earlier success was not confirmed either.</param>
    public static Verdict? Decide(ProbeReason reason, ProbeFinding finding, IReadOnlyList<EntryAnswer> entries, bool unprovenBefore) => (reason, finding) switch
    {
        (_, ProbeFinding.Found) => new Verdict.Delivered(entries),
        (_, ProbeFinding.FoundTwice) => new Verdict.NeedsHuman(HumanReason.FoundTwice),
        // Nothing is sent again after the receiver called it a duplicate.
        (ProbeReason.ReportedDuplicate, ProbeFinding.Missing) => new Verdict.NeedsHuman(HumanReason.DuplicateNotFound),
        (ProbeReason.ReportedDuplicate, ProbeFinding.Unclear) => new Verdict.Retry(RetryReason.DuplicateUnconfirmed, null, PossiblyProcessed: true, CountsAsFailure: true),
        (ProbeReason.UnprovenSuccess, ProbeFinding.Missing) when unprovenBefore => new Verdict.NeedsHuman(HumanReason.AnswersProveNothing),
        (ProbeReason.UnprovenSuccess, ProbeFinding.Missing) => new Verdict.Retry(RetryReason.NotFoundByProbe, null, PossiblyProcessed: true, CountsAsFailure: true),
        (ProbeReason.UnprovenSuccess, ProbeFinding.Unclear) => new Verdict.Retry(RetryReason.ProbeFailed, null, PossiblyProcessed: true, CountsAsFailure: true),
        // A sign-in page may stay for hours; it must not hand every waiting referral to a person one by one.
        (ProbeReason.PageInsteadOfAnswer, ProbeFinding.Missing or ProbeFinding.Unclear) =>
            new Verdict.Retry(RetryReason.IntermediaryAnswered, null, PossiblyProcessed: true, CountsAsFailure: true),
        // Same bytes, same keys, conditional creation: sending again is safer than waiting for a receiver that cannot search.
        (ProbeReason.EarlierAttemptOpen, ProbeFinding.Missing or ProbeFinding.Unclear) => null,
        _ => throw new ArgumentOutOfRangeException(nameof(finding), finding, null),
    };
}
