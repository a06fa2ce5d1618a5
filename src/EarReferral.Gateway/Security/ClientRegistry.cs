using System.Collections.Concurrent;
using Microsoft.Extensions.Options;
using Microsoft.IdentityModel.Tokens;

namespace EarReferral.Gateway.Security;

/// <summary>The registered clients and their public keys. A key file is read anew when it changes, so that a client rotates its key without a restart.</summary>
internal sealed class ClientRegistry(IOptions<SecurityOptions> options)
{
    private readonly IReadOnlyDictionary<string, RegisteredClient> clients =
        options.Value.Clients.ToDictionary(entry => entry.Key, entry => RegisteredClient.Read(entry.Key, entry.Value), StringComparer.Ordinal);

    private readonly ConcurrentDictionary<string, (DateTime Written, JsonWebKeySet Keys)> read = new(StringComparer.Ordinal);

    /// <summary>All of them.</summary>
    public IEnumerable<RegisteredClient> All => clients.Values;

    /// <summary>The client with this id; null when there is none.</summary>
    public RegisteredClient? Find(string? id) => id is null ? null : clients.GetValueOrDefault(id);

    /// <summary>Public keys of a client.</summary>
    public JsonWebKeySet Keys(RegisteredClient client)
    {
        var written = File.GetLastWriteTimeUtc(client.KeysFile);
        if (read.TryGetValue(client.Id, out var kept) && kept.Written == written)
        {
            return kept.Keys;
        }

        var keys = new JsonWebKeySet(File.ReadAllText(client.KeysFile));
        read[client.Id] = (written, keys);
        return keys;
    }

    /// <summary>
    /// The key that an assertion names: exactly one with its <c>kid</c>, of the type that its algorithm needs. None otherwise; keys are
    /// not tried one after another (SMART App Launch 2, client-confidential-asymmetric).
    /// </summary>
    public IEnumerable<SecurityKey> KeyFor(string? clientId, string? keyId, string? algorithm)
    {
        if (Find(clientId) is not { } client || string.IsNullOrEmpty(keyId))
        {
            return [];
        }

        var named = Keys(client).Keys.Where(key => key.KeyId == keyId).ToList();
        return named is [var only] && Fits(only, algorithm) ? [only] : [];
    }

    private static bool Fits(JsonWebKey key, string? algorithm) => algorithm switch
    {
        SecurityAlgorithms.RsaSha384 => key.Kty == JsonWebAlgorithmsKeyTypes.RSA && key.KeySize >= 2048,
        SecurityAlgorithms.EcdsaSha384 => key.Kty == JsonWebAlgorithmsKeyTypes.EllipticCurve && key.Crv == JsonWebKeyECTypes.P384,
        _ => false,
    };
}
