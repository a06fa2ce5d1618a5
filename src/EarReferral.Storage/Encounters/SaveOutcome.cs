namespace EarReferral.Storage.Encounters;

/// <summary>What became of a revision handed to the store.</summary>
public abstract record SaveOutcome
{
    private SaveOutcome()
    {
    }

    /// <summary>Stored now, as a whole.</summary>
    /// <param name="EncounterKey">Key of the encounter.</param>
    /// <param name="Referral">What became of its referral.</param>
    /// <param name="Receipt">Bytes of the receipt as they were stored.</param>
    public sealed record Saved(Guid EncounterKey, ReferralPlacement Referral, ReadOnlyMemory<byte> Receipt) : SaveOutcome;

    /// <summary>The same revision with the same content was stored before; nothing changed.</summary>
    /// <param name="Receipt">Bytes of the receipt given the first time.</param>
    /// <param name="EncounterKey">Key of the encounter.</param>
    public sealed record AlreadyStored(ReadOnlyMemory<byte> Receipt, Guid EncounterKey) : SaveOutcome;

    /// <summary>The current revision has other content; a correction needs the next revision number.</summary>
    /// <param name="EncounterKey">Key of the encounter.</param>
    /// <param name="StoredSha256">Hash of the stored content.</param>
    /// <param name="ReceivedAt">When the stored content was received.</param>
    public sealed record ContentDiffers(Guid EncounterKey, string StoredSha256, DateTimeOffset ReceivedAt) : SaveOutcome;

    /// <summary>A revision before this one never arrived.</summary>
    /// <param name="Expected">The revision that must come next.</param>
    public sealed record RevisionGap(int Expected) : SaveOutcome;

    /// <summary>An older revision with other content than was stored under its number.</summary>
    /// <param name="Current">The newest stored revision.</param>
    public sealed record RevisionBehind(int Current) : SaveOutcome;

    /// <summary>The open referral that the visit was judged with is not worked on any more; judge it again.</summary>
    public sealed record OpenReferralChanged : SaveOutcome;

    /// <summary>The clinic retracted the encounter; no revision follows a retraction.</summary>
    public sealed record Retracted : SaveOutcome;
}

/// <summary>What became of the referral of a saved revision.</summary>
public enum ReferralPlacement
{
    /// <summary>The revision carries no referral.</summary>
    None,

    /// <summary>Waits for its first attempt.</summary>
    Queued,

    /// <summary>Kept back until someone releases it.</summary>
    Held,

    /// <summary>An earlier revision's request had not been tried yet; this one replaces it.</summary>
    ReplacedBeforeSending,

    /// <summary>An earlier request was delivered, tried or is under way: it is not sent again, and a person must tell the receiver what changed.</summary>
    AlreadyTried,

    /// <summary>The receiver has or may have an earlier request; the correction waits to be sent as an update of it.</summary>
    UpdateQueued,

    /// <summary>The receiver has or may have an earlier request; a request that replaces it waits to be sent.</summary>
    ReplacementQueued,

    /// <summary>The correction carries no referral any more, and nothing of the earlier one was sent: it is taken back.</summary>
    Withdrawn,

    /// <summary>The correction carries no referral any more, and the earlier one was sent or may have been; a person must tell the receiver.</summary>
    WithdrawnAfterSending,

    /// <summary>As <see cref="WithdrawnAfterSending"/>, and the receiver is told electronically besides.</summary>
    WithdrawalQueued,

    /// <summary>The correction could not be made a record: an earlier request is not sent either, and a person must refer by telephone.</summary>
    StoppedByQuarantine,
}
