using System.Buffers.Binary;
using System.Security.Cryptography;

namespace EarReferral.Validation.Engine;

/// <summary>A SHA-256 digest as a value, so that content that differs has a key that differs.</summary>
internal readonly record struct ContentDigest(UInt128 High, UInt128 Low)
{
    public static ContentDigest Of(ReadOnlySpan<byte> content)
    {
        Span<byte> hash = stackalloc byte[SHA256.HashSizeInBytes];
        SHA256.HashData(content, hash);
        return new ContentDigest(BinaryPrimitives.ReadUInt128BigEndian(hash), BinaryPrimitives.ReadUInt128BigEndian(hash[16..]));
    }
}
