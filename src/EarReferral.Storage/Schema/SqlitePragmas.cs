using System.Data.Common;
using Microsoft.EntityFrameworkCore.Diagnostics;

namespace EarReferral.Storage.Schema;

/// <summary>Sets every SQLite connection the same way as it opens.</summary>
/// <remarks>
/// WAL lets readers go on beside the one writer; FULL because an acknowledged referral must survive a power cut, which
/// NORMAL does not promise in WAL mode (sqlite.org/pragma.html#pragma_synchronous).
/// </remarks>
internal sealed class SqlitePragmas : DbConnectionInterceptor
{
    private const string Statements =
        "PRAGMA busy_timeout = 10000; PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON;";

    public override void ConnectionOpened(DbConnection connection, ConnectionEndEventData eventData)
    {
        using var command = connection.CreateCommand();
        command.CommandText = Statements;
        command.ExecuteNonQuery();
    }

    public override async Task ConnectionOpenedAsync(
        DbConnection connection, ConnectionEndEventData eventData, CancellationToken cancellationToken = default)
    {
        await using var command = connection.CreateCommand();
        command.CommandText = Statements;
        await command.ExecuteNonQueryAsync(cancellationToken);
    }
}
