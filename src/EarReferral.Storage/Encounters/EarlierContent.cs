namespace EarReferral.Storage.Encounters;

/// <summary>Who received, or may have received, what an encounter said before the revision that is being stored.</summary>
/// <param name="Placement">What became of the referral.</param>
/// <param name="Receiver">The receiving system that has or may have an earlier request; null when nothing was sent.</param>
/// <param name="Practices">GP practices that could read earlier revisions.</param>
/// <param name="Reads">Reads of the patient's record that the audit holds; empty says that none was recorded, not that none took place.</param>
public sealed record EarlierContent(
    ReferralPlacement Placement, EarlierReceiver? Receiver, IReadOnlyList<string> Practices, IReadOnlyList<RecordedRead> Reads);

/// <summary>A receiving system and what it has.</summary>
/// <param name="ReferralId">The referral.</param>
/// <param name="Destination">Name of the destination in the configuration.</param>
/// <param name="DeliveredAt">When it confirmed that it stored the request; null when it never did and yet may have it.</param>
/// <param name="LastAttemptAt">The newest attempt whose outcome was recorded.</param>
public sealed record EarlierReceiver(string ReferralId, string Destination, DateTimeOffset? DeliveredAt, DateTimeOffset? LastAttemptAt);

/// <summary>Somebody who read the patient's record, and when last.</summary>
public sealed record RecordedRead(string Actor, DateTimeOffset At);
