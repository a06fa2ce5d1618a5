namespace EarReferral.Delivery.Notices;

/// <summary>Where the software of a clinic is told that a referral has changed; configuration section <c>Delivery:Notices:{clinic}</c>.</summary>
public sealed class NoticeOptions
{
    /// <summary>Address of the webhook: https, or http for this machine only.</summary>
    public Uri? Url { get; set; }

    /// <summary>File with the secret that signs it, at least 32 characters; better than <see cref="Secret"/>.</summary>
    public string? SecretFile { get; set; }

    /// <summary>The secret itself, for trying.</summary>
    public string? Secret { get; set; }

    /// <summary>Longest wait for one message; 15 seconds unless said otherwise.</summary>
    public TimeSpan Timeout { get; set; } = TimeSpan.FromSeconds(15);
}
