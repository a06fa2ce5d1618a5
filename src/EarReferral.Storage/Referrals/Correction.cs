using EarReferral.Storage.Encounters;

namespace EarReferral.Storage.Referrals;

/// <summary>How a receiver that has or may have a referral is told of its correction.</summary>
public enum CorrectionWay
{
    /// <summary>By telephone only: nobody has verified what the receiver can take.</summary>
    Phone,

    /// <summary>What it stored is given a new version, by conditional updates or an update message.</summary>
    Update,

    /// <summary>It only creates: a new request names the one that it replaces.</summary>
    Replacement,
}

/// <summary>A correction to send after the referral itself.</summary>
/// <param name="Request">The bytes to send.</param>
/// <param name="RequestSha256">Their SHA-256, lower-case hexadecimal.</param>
/// <param name="IdempotencyKey">Its own key, the same over all attempts.</param>
/// <param name="TaskIdentifier">Identifier of the Task that it brings with it; null when the Task of before stays.</param>
public sealed record Correction(ReadOnlyMemory<byte> Request, string RequestSha256, string IdempotencyKey, string? TaskIdentifier = null);

/// <summary>What became of the referral of a revision.</summary>
/// <param name="Placement">In one word.</param>
/// <param name="TaskIdentifier">Identifier by which the receiver will know its Task from now on; null when that does not change.</param>
internal sealed record PlacedReferral(ReferralPlacement Placement, string? TaskIdentifier = null);
