using System.Globalization;
using Npgsql;

namespace EarReferral.Storage.Schema;

/// <summary>The connection string as the store uses it.</summary>
internal static class PostgresConnection
{
    /// <summary>
    /// Adds that the server ends a transaction in which this process has said nothing for the longest pause: an instance that is
    /// stopped in the middle of one holds locks, and the others would wait for it as long as it sleeps.
    /// (PostgreSQL documentation, client connection defaults, idle_in_transaction_session_timeout.)
    /// </summary>
    /// <exception cref="InvalidOperationException">No connection string is configured.</exception>
    public static string Of(StorageOptions options)
    {
        var connection = new NpgsqlConnectionStringBuilder(
            options.ConnectionString ?? throw new InvalidOperationException("Storage:ConnectionString is required for PostgreSQL."));
        var pause = string.Create(CultureInfo.InvariantCulture, $"-c idle_in_transaction_session_timeout={(long)options.LongestPause.TotalMilliseconds}");
        // What the operator sets comes last and wins.
        connection.Options = connection.Options is { Length: > 0 } own ? $"{pause} {own}" : pause;
        return connection.ConnectionString;
    }
}
