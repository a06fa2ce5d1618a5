using System.Data.Common;
using System.Globalization;
using EarReferral.Storage;
using Microsoft.Data.Sqlite;
using Npgsql;

namespace EarReferral.Benchmarks;

/// <summary>Copies the rows of stored resources under other ids, so that a large store is made in minutes. The JSON of a copy keeps the ids of its original.</summary>
internal sealed class RowCopies(StorageOptions options)
{
    private static readonly string[] Tables = ["resource", "resource_version", "search_token", "search_date", "search_reference", "search_text"];

    private readonly Dictionary<string, (List<string> Columns, long Rows)> tables = [];

    private bool IsPostgres => options.Provider is StorageProvider.PostgreSql;

    /// <summary>The id of a resource in a copy; copy 0 is the original.</summary>
    public static string Id(string original, int copy) => copy == 0 ? original : string.Create(CultureInfo.InvariantCulture, $"{copy:x8}{original[8..]}");

    /// <summary>How many resources are stored.</summary>
    public async Task<long> CountAsync()
    {
        await using var connection = await OpenAsync();
        return await ScalarAsync(connection, "SELECT COUNT(*) FROM resource");
    }

    /// <summary>Lets the database look at its tables, as both do by themselves in use.</summary>
    public async Task AnalyseAsync()
    {
        await using var connection = await OpenAsync();
        await ExecuteAsync(connection, IsPostgres ? "VACUUM ANALYZE" : "ANALYZE");
    }

    /// <summary>Adds one copy of what was stored when the first copy was made.</summary>
    public async Task CopyAsync(int copy)
    {
        await using var connection = await OpenAsync();
        foreach (var table in tables.Count == 0 ? Tables : [])
        {
            tables[table] = (await ColumnsAsync(connection, table), await ScalarAsync(connection, $"SELECT COALESCE(MAX({Quote(table is "resource_version" ? "resource_key" : "key")}), 0) FROM {table}"));
        }

        await using var transaction = await connection.BeginTransactionAsync();
        var resources = tables["resource"].Rows;
        foreach (var (table, (columns, rows)) in tables)
        {
            var values = columns.Select(column => column switch
            {
                "key" => $"{Quote("key")} + {copy * rows}",
                "resource_key" => $"resource_key + {copy * resources}",
                "id" or "target_id" => $"'{copy:x8}' || substr({column}, 9)",
                "code" => $"CASE WHEN parameter = 'identifier' THEN code || '-{copy}' ELSE code END",
                _ => Quote(column),
            });
            var key = table is "resource_version" ? "resource_key" : Quote("key");
            await ExecuteAsync(connection, $"INSERT INTO {table} ({string.Join(", ", columns.Select(Quote))}) SELECT {string.Join(", ", values)} FROM {table} WHERE {key} <= {rows}", transaction);
        }

        await transaction.CommitAsync();
    }

    private async Task<DbConnection> OpenAsync()
    {
        DbConnection connection = IsPostgres
            ? new NpgsqlConnection(options.ConnectionString)
            : new SqliteConnection($"Data Source={Path.Combine(options.DataFolder!, "ear-referral.db")}");
        await connection.OpenAsync();
        if (!IsPostgres)
        {
            // Of the connection that makes the copies alone; the store that is measured has its own settings.
            await ExecuteAsync(connection, "PRAGMA cache_size = -2000000; PRAGMA synchronous = OFF; PRAGMA temp_store = MEMORY");
        }

        return connection;
    }

    private async Task<List<string>> ColumnsAsync(DbConnection connection, string table)
    {
        await using var command = connection.CreateCommand();
        command.CommandText = IsPostgres
            ? $"SELECT column_name FROM information_schema.columns WHERE table_name = '{table}' AND table_schema = current_schema() ORDER BY ordinal_position"
            : $"SELECT name FROM pragma_table_info('{table}')";
        await using var reader = await command.ExecuteReaderAsync();
        var columns = new List<string>();
        while (await reader.ReadAsync())
        {
            columns.Add(reader.GetString(0));
        }

        return columns;
    }

    private static string Quote(string column) => $"\"{column}\"";

    private static async Task<long> ScalarAsync(DbConnection connection, string sql)
    {
        await using var command = connection.CreateCommand();
        command.CommandText = sql;
        return Convert.ToInt64(await command.ExecuteScalarAsync(), CultureInfo.InvariantCulture);
    }

    private static async Task ExecuteAsync(DbConnection connection, string sql, DbTransaction? transaction = null)
    {
        await using var command = connection.CreateCommand();
        command.CommandText = sql;
        command.CommandTimeout = 0;
        command.Transaction = transaction;
        await command.ExecuteNonQueryAsync();
    }
}
