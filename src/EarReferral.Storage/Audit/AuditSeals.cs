using System.Buffers.Binary;
using System.Security.Cryptography;
using System.Text;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Audit;

/// <summary>Links committed audit rows into a chain, so that a row that is changed, taken out or put in afterwards is found.</summary>
/// <remarks>
/// Rows commit with the data they speak of and are linked within about a second; sealing takes a named lock for its own transaction only,
/// so no request waits for it. The chain holds salted digests: erasing a row and its salt leaves it verifiable and says nothing of the row.
/// </remarks>
public sealed class AuditSeals
{
    private const string Lock = "audit seals";
    private const int Batch = 500;

    /// <summary>How far behind the newest sealed row a row may commit late and still be sealed by the next round.</summary>
    private const int Window = 20_000;

    private static readonly byte[] Beginning = new byte[32];

    private readonly StoreDatabase database;

    internal AuditSeals(StoreDatabase database) => this.database = database;

    /// <summary>Seals what is committed and not sealed. Returns how many rows it sealed.</summary>
    public async Task<int> SealAsync(CancellationToken cancellationToken)
    {
        var sealedRows = 0;
        while (await AnyUnsealedAsync(cancellationToken))
        {
            sealedRows += await database.WriteAsync(store => SealBatchAsync(store, cancellationToken), cancellationToken);
        }

        return sealedRows;
    }

    /// <summary>Goes through the whole chain.</summary>
    public Task<AuditVerification> VerifyAsync(CancellationToken cancellationToken) => database.ReadAsync(async store =>
    {
        var (link, position, erased) = (Beginning, 0L, 0L);
        while (true)
        {
            var seals = await store.AuditSeals.Where(seal => seal.Position > position).OrderBy(seal => seal.Position).Take(Batch).ToListAsync(cancellationToken);
            if (seals.Count == 0)
            {
                var unsealed = await store.Audit.CountAsync(row => !store.AuditSeals.Any(seal => seal.AuditId == row.Id), cancellationToken);
                return new AuditVerification(position, erased, unsealed, null, null);
            }

            var ids = seals.ConvertAll(seal => seal.AuditId);
            var rows = await store.Audit.Where(row => ids.Contains(row.Id)).ToDictionaryAsync(row => row.Id, cancellationToken);
            foreach (var seal in seals)
            {
                var row = rows.GetValueOrDefault(seal.AuditId);
                var problem = seal.Position != position + 1 ? "a link is missing before it"
                    : !seal.Link.AsSpan().SequenceEqual(Next(link, seal.Digest)) ? "its link does not follow from the one before"
                    : (row, seal.Salt) switch
                    {
                        (null, null) => null,
                        (null, _) => "its row is missing and was not erased",
                        (_, null) => "its salt is missing though its row is there",
                        ({ } there, { } salt) => seal.Digest.AsSpan().SequenceEqual(Digest(salt, there)) ? null : "its row was changed",
                    };
                if (problem is not null)
                {
                    return new AuditVerification(position, erased, 0, seal.AuditId, problem);
                }

                (link, position, erased) = (seal.Link, seal.Position, erased + (row is null ? 1 : 0));
            }
        }
    });

    private Task<bool> AnyUnsealedAsync(CancellationToken cancellationToken) =>
        database.ReadAsync(async store => await (await UnsealedAsync(store, cancellationToken)).AnyAsync(cancellationToken));

    private static async Task<int> SealBatchAsync(StoreContext store, CancellationToken cancellationToken)
    {
        await store.LockAsync(Lock, cancellationToken);
        var rows = await (await UnsealedAsync(store, cancellationToken)).AsNoTracking().OrderBy(row => row.Id).Take(Batch).ToListAsync(cancellationToken);
        var last = await store.AuditSeals.AsNoTracking().OrderByDescending(seal => seal.Position).FirstOrDefaultAsync(cancellationToken);
        var (link, position) = (last?.Link ?? Beginning, last?.Position ?? 0);
        foreach (var row in rows)
        {
            var salt = RandomNumberGenerator.GetBytes(16);
            var digest = Digest(salt, row);
            link = Next(link, digest);
            store.Add(new AuditSealRow { Position = ++position, AuditId = row.Id, Salt = salt, Digest = digest, Link = link });
        }

        return rows.Count;
    }

    /// <summary>Ids are given before a transaction commits, so a row may appear behind ones that are sealed.</summary>
    private static async Task<IQueryable<AuditRow>> UnsealedAsync(StoreContext store, CancellationToken cancellationToken)
    {
        var newest = await store.AuditSeals.MaxAsync(seal => (long?)seal.AuditId, cancellationToken) ?? 0;
        return store.Audit.Where(row => row.Id > newest - Window && !store.AuditSeals.Any(seal => seal.AuditId == row.Id));
    }

    private static byte[] Next(byte[] link, byte[] digest) => SHA256.HashData([.. link, .. digest]);

    /// <summary>Every column with its length before it, so that no two rows write the same bytes.</summary>
    private static byte[] Digest(byte[] salt, AuditRow row)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        hash.AppendData(salt);
        string?[] columns =
        [
            row.Id.ToString(System.Globalization.CultureInfo.InvariantCulture),
            row.At.ToUnixTimeMilliseconds().ToString(System.Globalization.CultureInfo.InvariantCulture),
            row.Action.ToString(), row.Result.ToString(), row.Actor, row.RequestId, row.Purpose, row.ResourceType, row.ResourceId,
            row.PatientKey?.ToString(), row.ClinicId, row.PracticeOds, row.TokenId, row.Query is null ? null : Convert.ToHexString(row.Query),
        ];
        Span<byte> length = stackalloc byte[4];
        foreach (var column in columns)
        {
            var bytes = column is null ? [] : Encoding.UTF8.GetBytes(column);
            BinaryPrimitives.WriteInt32BigEndian(length, column is null ? -1 : bytes.Length);
            hash.AppendData(length);
            hash.AppendData(bytes);
        }

        return hash.GetHashAndReset();
    }
}

/// <summary>What going through the chain found.</summary>
/// <param name="Sealed">Links that hold, from the first.</param>
/// <param name="Erased">How many of them seal a row that was erased together with its salt.</param>
/// <param name="Unsealed">Rows that no link seals yet; normally those of the last second.</param>
/// <param name="BrokenAt">Id of the first audit row at which the chain does not hold; null when it does.</param>
/// <param name="Problem">What does not hold there.</param>
public sealed record AuditVerification(long Sealed, long Erased, int Unsealed, long? BrokenAt, string? Problem);
