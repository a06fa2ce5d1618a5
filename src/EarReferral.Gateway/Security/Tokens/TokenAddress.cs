using EarReferral.Gateway.Configuration;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Security.Tokens;

/// <summary>The address of the token server, by what is handed out and never by a request's Host header.</summary>
internal sealed class TokenAddress(IOptions<GatewayOptions> gateway)
{
    /// <summary>Path of the token endpoint.</summary>
    public const string Path = "oauth/token";

    /// <summary>Path of the server's public keys.</summary>
    public const string KeysPath = "oauth/jwks";

    /// <summary>The token endpoint; an assertion names it as its audience.</summary>
    public Uri Value { get; } = new(gateway.Value.PublicBaseUrl, Path);

    /// <summary>Who issues tokens.</summary>
    public Uri Issuer { get; } = new(gateway.Value.PublicBaseUrl, "/");

    /// <summary>Whom access tokens are for.</summary>
    public string Audience { get; } = new Uri(gateway.Value.PublicBaseUrl, "fhir").AbsoluteUri;
}
