using System.Globalization;
using System.Security.Cryptography;
using System.Text;

namespace EarReferral.Delivery.Alarms;

/// <summary>The signature of everything that is posted to a webhook; docs/delivery.md tells a receiver how to check it.</summary>
/// <remarks>HMAC-SHA256 (RFC 2104, FIPS 180-4) over the lines <c>v1</c>, id, seconds, nonce, each ended by a line feed, and the body's bytes.</remarks>
internal static class WebhookSignature
{
    public const string Id = "Ear-Message-Id";
    public const string Time = "Ear-Timestamp";
    public const string Nonce = "Ear-Nonce";
    public const string Value = "Ear-Signature";

    /// <summary>Lower-case hexadecimal of the code.</summary>
    public static string Of(string secret, string id, long seconds, string nonce, ReadOnlySpan<byte> body)
    {
        var head = Encoding.UTF8.GetBytes(string.Create(CultureInfo.InvariantCulture, $"v1\n{id}\n{seconds}\n{nonce}\n"));
        using var code = IncrementalHash.CreateHMAC(HashAlgorithmName.SHA256, Encoding.UTF8.GetBytes(secret));
        code.AppendData(head);
        code.AppendData(body);
        return Convert.ToHexStringLower(code.GetHashAndReset());
    }
}
