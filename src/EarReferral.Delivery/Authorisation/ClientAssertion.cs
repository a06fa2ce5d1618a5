using System.Security.Cryptography;
using Microsoft.IdentityModel.JsonWebTokens;
using Microsoft.IdentityModel.Tokens;

namespace EarReferral.Delivery.Authorisation;

/// <summary>The signed statement by which the gateway says who it is.</summary>
/// <remarks>SMART App Launch 2, client authentication: asymmetric; RFC 7523 section 3.</remarks>
internal static class ClientAssertion
{
    // At most five minutes are allowed; one less leaves room for clocks that differ.
    private static readonly TimeSpan Lifetime = TimeSpan.FromMinutes(4);

    /// <summary>Makes one that is used once.</summary>
    /// <exception cref="CryptographicException">The file holds no usable private key.</exception>
    /// <exception cref="IOException">The file cannot be read.</exception>
    /// <exception cref="UnauthorizedAccessException">The file may not be read.</exception>
    public static string Make(TokenOptions options, DateTimeOffset now)
    {
        var pem = File.ReadAllText(options.KeyFile!);
        using var rsa = RSA.Create();
        using var curve = ECDsa.Create();
        var (key, algorithm) = Read(pem, rsa, curve);
        key.KeyId = options.KeyId ?? Base64UrlEncoder.Encode(JsonWebKeyConverter.ConvertFromSecurityKey(key).ComputeJwkThumbprint());
        key.CryptoProviderFactory = new CryptoProviderFactory { CacheSignatureProviders = false };
        return new JsonWebTokenHandler { SetDefaultTimesOnTokenCreation = false }.CreateToken(new SecurityTokenDescriptor
        {
            Issuer = options.ClientId,
            Audience = options.Url!.AbsoluteUri,
            IssuedAt = now.UtcDateTime,
            Expires = (now + Lifetime).UtcDateTime,
            Claims = new Dictionary<string, object> { ["sub"] = options.ClientId!, ["jti"] = Guid.NewGuid().ToString("N") },
            SigningCredentials = new SigningCredentials(key, algorithm),
        });
    }

    /// <summary>What is wrong with the key file, in words; null when it can sign.</summary>
    public static string? Problem(TokenOptions options)
    {
        try
        {
            Make(options, DateTimeOffset.UnixEpoch);
            return null;
        }
        catch (CryptographicException unusable)
        {
            return unusable.Message;
        }
        catch (Exception unreadable) when (unreadable is IOException or UnauthorizedAccessException)
        {
            return $"The file cannot be read ({unreadable.GetType().Name}).";
        }
    }

    private static (SecurityKey Key, string Algorithm) Read(string pem, RSA rsa, ECDsa curve)
    {
        if (TryImport(rsa, pem))
        {
            return rsa.KeySize >= 2048 ? (new RsaSecurityKey(rsa), SecurityAlgorithms.RsaSha384) : throw new CryptographicException("An RSA key must have at least 2,048 bits.");
        }

        return TryImport(curve, pem) && curve.KeySize == 384
            ? (new ECDsaSecurityKey(curve), SecurityAlgorithms.EcdsaSha384)
            : throw new CryptographicException("The file must hold a private RSA key or one on the curve P-384, as unencrypted PEM.");
    }

    private static bool TryImport(AsymmetricAlgorithm key, string pem)
    {
        try
        {
            key.ImportFromPem(pem);
            // A public key alone imports too, and could sign nothing.
            return key.ExportPkcs8PrivateKey().Length > 0;
        }
        catch (Exception other) when (other is CryptographicException or ArgumentException)
        {
            return false;
        }
    }
}
