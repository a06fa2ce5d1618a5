using EarReferral.Delivery.Alarms;
using EarReferral.Storage;
using EarReferral.Storage.Alarms;
using EarReferral.Storage.Referrals;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;

namespace EarReferral.Delivery.Notices;

/// <summary>Tells each clinic's software of the referrals that have changed since it last took a message about them.</summary>
/// <remarks>At least once, the newest state only, one node at a time. Whether it works is kept with the alarm channels, so that a silent one is seen.</remarks>
internal sealed class NoticeRounds(NoticeStore notices, ChannelStore states, SignedPost post, TimeProvider clock, IOptions<DeliveryOptions> options, ILogger<NoticeRounds> logger)
{
    // A worker that died in its round is followed after this time.
    private static readonly TimeSpan Lease = TimeSpan.FromMinutes(2);
    private static readonly TimeSpan Again = TimeSpan.FromMinutes(1);

    // What was not taken for so long is found by reconciling (GET /referrals); nothing of it is lost.
    private static readonly TimeSpan Oldest = TimeSpan.FromDays(7);

    /// <summary>Name under which the state of a clinic's webhook is kept.</summary>
    public static string Channel(string clinic) => $"notices/{clinic}";

    /// <summary>One round over all clinics.</summary>
    public async Task RoundAsync(CancellationToken cancellationToken)
    {
        foreach (var (clinic, notice) in options.Value.Notices)
        {
            var now = clock.GetUtcNow();
            if ((await notices.UntoldAsync(new Reach.Clinic(clinic), now - Oldest, 1, cancellationToken)).Count > 0
                && await states.ClaimAsync(Channel(clinic), now, now + Lease, cancellationToken) is not null)
            {
                await TellAsync(clinic, notice, cancellationToken);
            }
        }
    }

    private async Task TellAsync(string clinic, NoticeOptions notice, CancellationToken cancellationToken)
    {
        var reach = new Reach.Clinic(clinic);
        foreach (var referral in await notices.UntoldAsync(reach, clock.GetUtcNow() - Oldest, 50, cancellationToken))
        {
            var message = ReferralNotice.Of(referral);
            // Read anew each time, so that a changed secret needs no restart.
            var outcome = Secrets.Read(notice.Secret, notice.SecretFile) is { } secret
                ? await post.SendAsync(notice.Url!, secret, message.Id, message.Json(), notice.Timeout, cancellationToken)
                : new ChannelOutcome(false, "secret-unreadable");
            var now = clock.GetUtcNow();
            await states.RecordAsync(Channel(clinic), now, outcome.Taken, outcome.Word, now + (outcome.Taken ? Lease : Again), null, CancellationToken.None);
            if (!outcome.Taken)
            {
                Log.ChannelFailed(logger, Channel(clinic), outcome.Word);
                return;
            }

            await notices.ToldAsync(reach, referral.ReferralId, referral.ChangedAt, CancellationToken.None);
        }

        // The turn ends: what changes next is told in the next round.
        await states.RecordAsync(Channel(clinic), clock.GetUtcNow(), true, "told", clock.GetUtcNow(), null, CancellationToken.None);
    }
}
