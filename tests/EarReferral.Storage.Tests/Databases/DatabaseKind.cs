using Microsoft.Data.Sqlite;
using Npgsql;

namespace EarReferral.Storage.Tests.Databases;

/// <summary>A database that the contract tests run on.</summary>
public abstract class DatabaseKind
{
    /// <summary>Environment variable with the connection string of a PostgreSQL server that may create databases.</summary>
    public const string PostgresVariable = "EARREFERRAL_TEST_POSTGRES";

    public static DatabaseKind Sqlite { get; } = new SqliteKind();

    public static DatabaseKind PostgreSql { get; } = new PostgresKind();

    /// <summary>A store on an empty database, tables not yet made.</summary>
    public abstract Task<TestStore> NewAsync();

    private sealed class SqliteKind : DatabaseKind
    {
        public override Task<TestStore> NewAsync()
        {
            var folder = Directory.CreateTempSubdirectory("ear-referral-").FullName;
            return Task.FromResult(new TestStore(
                new StorageOptions { DataFolder = folder },
                () =>
                {
                    SqliteConnection.ClearAllPools();
                    Directory.Delete(folder, recursive: true);
                    return Task.CompletedTask;
                }));
        }
    }

    private sealed class PostgresKind : DatabaseKind
    {
        public override async Task<TestStore> NewAsync()
        {
            var server = Environment.GetEnvironmentVariable(PostgresVariable);
            Assert.SkipWhen(
                string.IsNullOrEmpty(server),
                $"NOT RUN on PostgreSQL: {PostgresVariable} holds no connection string, so nothing here says that PostgreSQL works.");
            var name = $"ear_referral_{Guid.NewGuid():N}";
            await ExecuteAsync(server!, $"CREATE DATABASE {name}");
            var own = new NpgsqlConnectionStringBuilder(server) { Database = name, MaxPoolSize = 20 };
            return new TestStore(
                new StorageOptions { Provider = StorageProvider.PostgreSql, ConnectionString = own.ConnectionString },
                async () =>
                {
                    NpgsqlConnection.ClearPool(new NpgsqlConnection(own.ConnectionString));
                    await ExecuteAsync(server!, $"DROP DATABASE {name} WITH (FORCE)");
                });
        }

        private static async Task ExecuteAsync(string server, string sql)
        {
            await using var connection = new NpgsqlConnection(server);
            await connection.OpenAsync();
            await using var command = new NpgsqlCommand(sql, connection);
            await command.ExecuteNonQueryAsync();
        }
    }
}
