namespace EarReferral.Gateway.Security;

/// <summary>Section <c>Security</c>.</summary>
internal sealed class SecurityOptions
{
    public const string Section = "Security";

    /// <summary>Ask nobody who they are; only in Development on a loopback address. For the demo and tests.</summary>
    public bool LocalCaller { get; set; }

    /// <summary>A proxy in front ends TLS; required where the gateway itself listens to plain http outside Development.</summary>
    public bool BehindTlsProxy { get; set; }

    /// <summary>PEM file with the P-384 key that signs access tokens; made at the first start in Development.</summary>
    public string? SigningKeyFile { get; set; }

    /// <summary>Clients by id.</summary>
    public Dictionary<string, ClientOptions> Clients { get; } = new(StringComparer.Ordinal);

    /// <summary>Requests a minute that one client may make.</summary>
    public int RequestsPerMinute { get; set; } = 1200;

    /// <summary>Requests a minute that one network address may make for tokens or without one.</summary>
    public int AnonymousRequestsPerMinute { get; set; } = 240;
}

/// <summary>One entry of <c>Security:Clients</c>.</summary>
internal sealed class ClientOptions
{
    /// <summary><c>clinic</c>, <c>gpPractice</c>, <c>ent</c>, <c>operator</c> or <c>boardUser</c>.</summary>
    public string? Kind { get; set; }

    /// <summary>Whose it is: id of a clinic, ODS code of a practice, name of a destination; nothing for an operator.</summary>
    public string? Of { get; set; }

    /// <summary>Scopes that it may ask for, between spaces.</summary>
    public string? Scopes { get; set; }

    /// <summary>File with its public keys, a JWKS (RFC 7517); read anew when it changes.</summary>
    public string? KeysFile { get; set; }

    /// <summary>True for a client whose private key this program made for a demo; refused outside Development.</summary>
    public bool Demo { get; set; }
}
