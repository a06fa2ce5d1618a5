using EarReferral.Referrals.Clocks;
using EarReferral.Storage;
using EarReferral.Storage.Referrals;
using Microsoft.Extensions.Logging;

namespace EarReferral.Delivery.Working;

/// <summary>Says once per referral that it is not delivered in time and that a person must telephone.</summary>
internal sealed class OverdueAlarm(ReferralStore referrals, TimeProvider clock, ILogger<OverdueAlarm> logger)
{
    /// <summary>Timeline word of the alarm.</summary>
    public const string Overdue = "delivery-overdue";

    private static readonly Reach Everywhere = new Reach.Everything("delivery");

    /// <summary>Raises the alarm when the next attempt lies beyond the delivery clock. True when the alarm stands, new or from before.</summary>
    /// <param name="referralId">Referral.</param>
    /// <param name="tier">Its tier.</param>
    /// <param name="decidedAt">Decision instant, from which its delivery clock runs.</param>
    /// <param name="destination">Where it goes; null when this machine does not know it.</param>
    /// <param name="destinationName">Name of the destination.</param>
    /// <param name="nextAttempt">When it will next be tried; now when it will not.</param>
    /// <param name="isSending">False when sending has stopped for a person.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public async Task<bool> RaiseIfLateAsync(
        string referralId, string tier, DateTimeOffset decidedAt, DestinationOptions? destination, string destinationName, DateTimeOffset nextAttempt, bool isSending, CancellationToken cancellationToken)
    {
        var urgency = UrgencyTiers.Read(tier) ?? ReferralUrgency.Emergency;
        if (nextAttempt < ReferralClocks.DeliverBy(decidedAt, urgency, ClockLimits.Default))
        {
            return false;
        }

        var timeline = await referrals.TimelineAsync(Everywhere, referralId, cancellationToken);
        if (timeline.Any(entry => entry.Kind == Overdue))
        {
            return true;
        }

        var sentence = destination is null
            ? $"Not delivered in time: the destination {destinationName} is not configured. Refer by telephone."
            : $"Not delivered in time. Telephone {destination.Name}, {destination.Phone}. {(isSending ? "Sending goes on meanwhile." : "Sending has stopped.")}";
        await referrals.AppendEventAsync(Everywhere, referralId, new ReferralEvent(clock.GetUtcNow(), Overdue, "delivery", Detail: sentence), cancellationToken);
        Log.Overdue(logger, referralId, tier, destinationName);
        return true;
    }
}
