using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;

namespace EarReferral.Security.Tests.Support;

/// <summary>
/// A JWT put together by hand after RFC 7515, so that the library under test neither makes nor mends what it is tested with.
/// </summary>
internal static class Assertion
{
    /// <summary>Signs header and claims; the algorithm decides how, whatever the header says.</summary>
    public static string Sign(object header, object claims, Func<byte[], byte[]> sign)
    {
        var body = $"{Part(header)}.{Part(claims)}";
        return $"{body}.{Base64Url.EncodeToString(sign(Encoding.ASCII.GetBytes(body)))}";
    }

    /// <summary>Signature of ES384 (RFC 7518, 3.4).</summary>
    public static Func<byte[], byte[]> Es384(ECDsa key) => bytes => key.SignData(bytes, HashAlgorithmName.SHA384, DSASignatureFormat.IeeeP1363FixedFieldConcatenation);

    /// <summary>Signature of RS384 (RFC 7518, 3.3).</summary>
    public static Func<byte[], byte[]> Rs384(RSA key) => bytes => key.SignData(bytes, HashAlgorithmName.SHA384, RSASignaturePadding.Pkcs1);

    /// <summary>A public key as RFC 7517 writes it.</summary>
    public static object Jwk(ECDsa key, string kid)
    {
        var point = key.ExportParameters(false).Q;
        return new { kty = "EC", crv = "P-384", kid, x = Base64Url.EncodeToString(point.X), y = Base64Url.EncodeToString(point.Y) };
    }

    /// <summary>A public key as RFC 7517 writes it.</summary>
    public static object Jwk(RSA key, string kid)
    {
        var parts = key.ExportParameters(false);
        return new { kty = "RSA", kid, n = Base64Url.EncodeToString(parts.Modulus), e = Base64Url.EncodeToString(parts.Exponent) };
    }

    private static string Part(object value) => Base64Url.EncodeToString(JsonSerializer.SerializeToUtf8Bytes(value));
}
