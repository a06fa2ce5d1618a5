using System.Security.Cryptography;
using System.Text;

namespace EarReferral.Mapping.Identity;

/// <summary>The identities that the store holds for one encounter; every resource id follows from them.</summary>
/// <remarks>
/// Each seed is a random UUID that the identity table keeps under the clinic's own key. A resource id is the name-based
/// UUID (RFC 9562, version 5) of a seed and the resource's role, so the same encounter always yields the same ids and no id
/// is derived from an NHS number.
/// </remarks>
/// <param name="Encounter">Seed kept for (clinic, the clinic's encounter id).</param>
/// <param name="Patient">Seed kept for (clinic, the clinic's patient id).</param>
/// <param name="Practitioner">Seed kept for (clinic, the clinic's practitioner id).</param>
/// <param name="Clinic">Seed kept for the clinic.</param>
public sealed record EncounterIdentity(Guid Encounter, Guid Patient, Guid Practitioner, Guid Clinic)
{
    /// <summary>Id of a resource of this encounter.</summary>
    /// <param name="role">Role of the resource, such as <c>procedure/right</c> or <c>observation/left/hearing-change</c>.</param>
    public string Resource(string role) => NameBased(Encounter, role).ToString();

    /// <summary>The version 5 UUID of a name within a namespace.</summary>
    public static Guid NameBased(Guid space, string name)
    {
        Span<byte> input = stackalloc byte[16 + Encoding.UTF8.GetMaxByteCount(name.Length)];
        space.TryWriteBytes(input, bigEndian: true, out _);
        var length = 16 + Encoding.UTF8.GetBytes(name, input[16..]);
        Span<byte> hash = stackalloc byte[20];
#pragma warning disable CA5350 // RFC 9562 defines version 5 by SHA-1; it is an identifier here, not a secret.
        SHA1.HashData(input[..length], hash);
#pragma warning restore CA5350
        hash[6] = (byte)((hash[6] & 0x0F) | 0x50);
        hash[8] = (byte)((hash[8] & 0x3F) | 0x80);
        return new Guid(hash[..16], bigEndian: true);
    }
}
