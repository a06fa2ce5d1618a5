using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text.Json;
using EarReferral.Storage.Schema;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Search;

/// <summary>
/// Seals what the link to the next page must carry, so that an address in a log or a browser's history names no patient: the
/// search and the place in it, encrypted and authenticated under a key that the store keeps, and good for one reach only.
/// </summary>
public sealed class PageLinks
{
    private const string KeyFact = "page-link-key";
    private const int NonceSize = 12;
    private const int TagSize = 16;

    private readonly StoreDatabase database;
    private byte[]? key;

    internal PageLinks(StoreDatabase database) => this.database = database;

    /// <summary>The sealed form of a search, fit for an address.</summary>
    public async Task<string> SealAsync(Reach reach, IReadOnlyList<KeyValuePair<string, string>> parameters, CancellationToken cancellationToken)
    {
        var text = JsonSerializer.SerializeToUtf8Bytes(parameters.SelectMany(pair => new[] { pair.Key, pair.Value }));
        var token = new byte[NonceSize + text.Length + TagSize];
        RandomNumberGenerator.Fill(token.AsSpan(0, NonceSize));
        using var cipher = new AesGcm(await KeyAsync(cancellationToken), TagSize);
        cipher.Encrypt(token.AsSpan(0, NonceSize), text, token.AsSpan(NonceSize, text.Length), token.AsSpan(NonceSize + text.Length), Associated(reach));
        return Base64Url.EncodeToString(token);
    }

    /// <summary>What was sealed, or null when it is not of this store, was changed, or belongs to another caller's reach.</summary>
    public async Task<IReadOnlyList<KeyValuePair<string, string>>?> OpenAsync(Reach reach, string sealedText, CancellationToken cancellationToken)
    {
        if (!Base64Url.IsValid(sealedText) || Base64Url.DecodeFromChars(sealedText) is not { Length: > NonceSize + TagSize } token)
        {
            return null;
        }

        var text = new byte[token.Length - NonceSize - TagSize];
        using var cipher = new AesGcm(await KeyAsync(cancellationToken), TagSize);
        try
        {
            cipher.Decrypt(token.AsSpan(0, NonceSize), token.AsSpan(NonceSize, text.Length), token.AsSpan(NonceSize + text.Length), text, Associated(reach));
        }
        catch (AuthenticationTagMismatchException)
        {
            return null;
        }

        return [.. JsonSerializer.Deserialize<string[]>(text)!.Chunk(2).Select(pair => KeyValuePair.Create(pair[0], pair[1]))];
    }

    private static byte[] Associated(Reach reach) => System.Text.Encoding.UTF8.GetBytes(reach.ToString());

    private async Task<byte[]> KeyAsync(CancellationToken cancellationToken)
    {
        if (key is null)
        {
            var fresh = Convert.ToBase64String(RandomNumberGenerator.GetBytes(32));
            await database.WriteAsync(
                store => store.Database.ExecuteSqlAsync($"INSERT INTO store_fact (name, value) VALUES ({KeyFact}, {fresh}) ON CONFLICT (name) DO NOTHING", cancellationToken),
                cancellationToken);
            key = Convert.FromBase64String(await database.ReadAsync(store => store.Facts.Where(fact => fact.Name == KeyFact).Select(fact => fact.Value).SingleAsync(cancellationToken)));
        }

        return key;
    }
}
