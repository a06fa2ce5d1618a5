namespace EarReferral.Delivery.Authorisation;

/// <summary>How the gateway gets an access token of a receiver, by SMART Backend Services; section <c>Delivery:Destinations:{name}:Token</c>.</summary>
public sealed class TokenOptions
{
    /// <summary>Address of the token endpoint, https.</summary>
    public Uri? Url { get; set; }

    /// <summary>Id under which the receiver knows this gateway.</summary>
    public string? ClientId { get; set; }

    /// <summary>
    /// PEM file with the private key: RSA of at least 2,048 bits (RS384) or P-384 (ES384). Read anew for every token, so a key is
    /// changed by changing the file.
    /// </summary>
    public string? KeyFile { get; set; }

    /// <summary>Id of the key among those that the receiver was given; the RFC 7638 thumbprint when nothing is said.</summary>
    public string? KeyId { get; set; }

    /// <summary>Scopes to ask for, SMART v2, separated by spaces.</summary>
    public string Scope { get; set; } = "system/*.cruds";
}
