using System.Collections.Frozen;
using System.Text.Json;
using EarReferral.Storage.Sending;

namespace EarReferral.Delivery.Decisions;

/// <summary>The stable words that the store keeps for how an attempt ended; a later attempt reads them back.</summary>
internal static class OutcomeWords
{
    /// <summary>The receiver stored it.</summary>
    public const string Delivered = "delivered";

    /// <summary>The clinic had taken it back; nothing was sent.</summary>
    public const string Withdrawn = AttemptWords.Withdrawn;

    /// <summary>The service stopped while the attempt was under way.</summary>
    public const string Stopped = "stopped";

    /// <summary>Another worker took over while the attempt was under way.</summary>
    public const string Unknown = AttemptWords.Unknown;

    /// <summary>Our own fault; the log has the details.</summary>
    public const string InternalError = "internal-error";

    private static readonly string[] OurOwn = [Stopped, Unknown, InternalError];

    private static readonly FrozenSet<string> Open = Enum.GetValues<RetryReason>()
        .Except([RetryReason.NotConnected, RetryReason.NoToken, RetryReason.NotProcessedInTime, RetryReason.Throttled])
        .Select(reason => Word(reason))
        .Concat(OurOwn)
        .ToFrozenSet(StringComparer.Ordinal);

    /// <summary>The word for a verdict.</summary>
    public static string Of(Verdict verdict) => verdict switch
    {
        Verdict.Delivered => Delivered,
        Verdict.Retry retry => Word(retry.Reason),
        Verdict.NeedsHuman human => Word(human.Reason),
        Verdict.ParkDestination park => Word(park.Reason),
        _ => throw new ArgumentOutOfRangeException(nameof(verdict), verdict, "A verdict that asks for another step ends no attempt."),
    };

    /// <summary>The word for a reason, in kebab case.</summary>
    public static string Word(Enum reason) => JsonNamingPolicy.KebabCaseLower.ConvertName(reason.ToString());

    /// <summary>True when an attempt that ended so may have been processed by the receiver.</summary>
    public static bool LeavesOpen(string word) => Open.Contains(word);

    /// <summary>True when the word says something about us and nothing about the receiver.</summary>
    public static bool IsOurOwn(string word) => OurOwn.Contains(word, StringComparer.Ordinal);
}
