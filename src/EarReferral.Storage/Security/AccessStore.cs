using System.Security.Cryptography;
using System.Text;
using EarReferral.Storage.Schema;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;

namespace EarReferral.Storage.Security;

/// <summary>Assertions that were used, over all instances and restarts.</summary>
public sealed class AccessStore
{
    private readonly IServiceScopeFactory scopes;
    private readonly StorageOptions options;

    internal AccessStore(IServiceScopeFactory scopes, StorageOptions options)
    {
        this.scopes = scopes;
        this.options = options;
    }

    /// <summary>Brings the tables of the token server up to date.</summary>
    public async Task MigrateAsync(CancellationToken cancellationToken)
    {
        var path = options.Provider == StorageProvider.Sqlite ? SqliteAccessContext.PathOf(options) : null;
        using var only = await MigrationFileLock.TakeAsync(path, cancellationToken);
        await using var scope = scopes.CreateAsyncScope();
        await scope.ServiceProvider.GetRequiredService<AccessContext>().Database.MigrateAsync(cancellationToken);
    }

    /// <summary>Notes the use of an assertion. False when it was used before, by whichever instance.</summary>
    /// <param name="issuer">Client that made it.</param>
    /// <param name="tokenId">Its <c>jti</c>.</param>
    /// <param name="expiresAt">When it is refused for its age, with whatever tolerance is granted.</param>
    /// <param name="now">Now; what has expired before is forgotten.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public async Task<bool> UseOnceAsync(string issuer, string tokenId, DateTimeOffset expiresAt, DateTimeOffset now, CancellationToken cancellationToken)
    {
        await using var scope = scopes.CreateAsyncScope();
        var access = scope.ServiceProvider.GetRequiredService<AccessContext>();
        var digest = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(tokenId)));
        var (until, seconds) = (expiresAt.ToUnixTimeSeconds(), now.ToUnixTimeSeconds());
        await access.UsedAssertions.Where(row => row.ExpiresAt < seconds).ExecuteDeleteAsync(cancellationToken);
        return await access.Database.ExecuteSqlAsync(
            $"INSERT INTO used_assertion (issuer, token_id, expires_at) VALUES ({issuer}, {digest}, {until}) ON CONFLICT DO NOTHING", cancellationToken) == 1;
    }
}
