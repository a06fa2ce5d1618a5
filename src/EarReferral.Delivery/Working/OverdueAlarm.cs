using EarReferral.Delivery.Destinations;
using EarReferral.Referrals.Clocks;
using EarReferral.Storage;
using EarReferral.Storage.Referrals;
using Microsoft.Extensions.Logging;

namespace EarReferral.Delivery.Working;

/// <summary>Says once per referral, clock and tier that a clock has run out and that a person must telephone.</summary>
internal sealed class OverdueAlarm(ReferralStore referrals, DestinationDirectory directory, TimeProvider clock, ILogger<OverdueAlarm> logger)
{
    /// <summary>Timeline word of the alarm about the delivery.</summary>
    public const string Overdue = "delivery-overdue";

    private static readonly Reach Everywhere = new Reach.Everything("delivery");

    /// <summary>Timeline word of the alarm of a clock.</summary>
    public static string Kind(ReferralClock expired) => ClockReader.AlarmKind(expired);

    /// <summary>Raises the delivery alarm when the next attempt lies beyond the delivery clock.</summary>
    /// <param name="referralId">Referral.</param>
    /// <param name="tier">Its tier.</param>
    /// <param name="decidedAt">Decision instant, from which its delivery clock runs.</param>
    /// <param name="destination">Where it goes; null when this machine does not know it.</param>
    /// <param name="destinationName">Name of the destination.</param>
    /// <param name="nextAttempt">When it will next be tried.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public async Task RaiseIfLateAsync(
        string referralId, string tier, DateTimeOffset decidedAt, DestinationOptions? destination, string destinationName, DateTimeOffset nextAttempt, CancellationToken cancellationToken)
    {
        if (nextAttempt >= ReferralClocks.DeliverBy(decidedAt, ClockReader.Urgency(tier), ClockLimits.Default))
        {
            await RaiseAsync(referralId, tier, ReferralClock.Deliver, destination, destinationName, isSending: true, cancellationToken);
        }
    }

    /// <summary>Raises the alarm of a clock that has run out, unless it stands already for this tier.</summary>
    public async Task RaiseAsync(
        string referralId, string tier, ReferralClock expired, DestinationOptions? destination, string destinationName, bool isSending, CancellationToken cancellationToken)
    {
        // Looks before it locks: the store decides, but what was raised before must not take the write lock at every look.
        var (kind, mark) = (Kind(expired), ReferralStore.AlarmMark(tier));
        var timeline = await referrals.TimelineAsync(Everywhere, referralId, cancellationToken);
        if (timeline.Any(entry => entry.Kind == kind && entry.Detail?.StartsWith(mark, StringComparison.Ordinal) is true))
        {
            return;
        }

        var call = Call(directory.ContactAt(destinationName, clock.GetUtcNow()), destinationName);
        var sentence = expired is ReferralClock.Deliver && destination is not null
            ? $"Not delivered in time. {call} {(isSending ? "Sending goes on meanwhile." : "Sending has stopped.")}"
            : $"{Missing(expired)} {call}";
        if (!await referrals.RaiseOnceAsync(Everywhere, referralId, tier, new ReferralEvent(clock.GetUtcNow(), kind, "delivery", Detail: sentence), cancellationToken))
        {
            return;
        }

        if (expired is ReferralClock.Deliver)
        {
            Log.Overdue(logger, referralId, tier, destinationName);
        }
        else
        {
            Log.ClockExpired(logger, referralId, tier, expired, destinationName);
        }
    }

    private static string Missing(ReferralClock expired) => expired switch
    {
        ReferralClock.Deliver => "Not delivered in time.",
        ReferralClock.Acknowledge => "Nobody there has said in time that they have it.",
        ReferralClock.TriageOutcome => "Not triaged there in time.",
        ReferralClock.Appointment => "No visit is booked in time.",
        ReferralClock.Outcome => "No outcome of the visit came in time.",
        ReferralClock.InformationReply => "A question of theirs was not answered in time.",
    };

    private static string Call(Contact? contact, string name) => contact switch
    {
        null => $"The destination {name} is not configured: refer by telephone.",
        { Phone: null } => $"Reach {contact.Name}; no number is configured.",
        { OutOfHours: true } => $"Telephone {contact.Name}, {contact.Phone} (out of hours).",
        _ => $"Telephone {contact.Name}, {contact.Phone}.",
    };
}
