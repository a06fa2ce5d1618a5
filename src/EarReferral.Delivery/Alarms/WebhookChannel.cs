namespace EarReferral.Delivery.Alarms;

/// <summary>Tells another program by a signed post.</summary>
internal sealed class WebhookChannel(SignedPost post, ChannelOptions options) : IAlarmChannel
{
    public Task<ChannelOutcome> SendAsync(AlarmNotice notice, CancellationToken cancellationToken) =>
        // Read anew each time, so that a changed secret needs no restart.
        Secrets.Read(options.Secret, options.SecretFile) is { } secret
            ? post.SendAsync(options.Url!, secret, notice.Id, notice.Json(), options.Timeout, cancellationToken)
            : Task.FromResult(new ChannelOutcome(false, "secret-unreadable"));
}
