namespace EarReferral.Storage.Sending;

/// <summary>Outcome words of attempts that the store itself relies on; all others are the delivery's own.</summary>
public static class AttemptWords
{
    /// <summary>No connection came about, so no byte of the request left this machine.</summary>
    public const string NotConnected = "not-connected";

    /// <summary>No access token of the receiver could be had, so no byte of the request left this machine.</summary>
    public const string NoToken = "no-token";

    /// <summary>The receiver gives this gateway no access token, so no byte of the request left this machine.</summary>
    public const string TokenRefused = "token-refused";

    /// <summary>The clinic had taken the referral back, and nothing was sent.</summary>
    public const string Withdrawn = "withdrawn";

    /// <summary>The worker had lost its lease, so it may not say how its attempt ended.</summary>
    public const string Unknown = "unknown";

    /// <summary>True when an attempt that ended so cannot have given the receiver any of the request.</summary>
    public static bool SentNothing(string outcome) => outcome is NotConnected or NoToken or TokenRefused or Withdrawn;

    /// <summary>
    /// True when no claim of a send can have given the receiver anything. A claim without a recorded outcome is an attempt under
    /// way, or one whose process died: both may have sent.
    /// </summary>
    internal static bool IsUnsent(int claims, IReadOnlyCollection<string> outcomes) => claims == outcomes.Count && outcomes.All(SentNothing);
}
