using EarReferral.Storage.Schema;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Design;

namespace EarReferral.Storage.Security;

/// <summary>The tables of the token server in a SQLite file of their own.</summary>
internal sealed class SqliteAccessContext(DbContextOptions<SqliteAccessContext> options) : AccessContext(options)
{
    /// <summary>How it is reached: <c>access.db</c> beside the file of the records.</summary>
    public static void Configure(DbContextOptionsBuilder builder, StorageOptions options) => builder
        .UseSqlite(
            new SqliteConnectionStringBuilder { DataSource = PathOf(options) }.ConnectionString,
            sqlite => sqlite.MigrationsHistoryTable(HistoryTable))
        .AddInterceptors(new SqlitePragmas());

    public static string PathOf(StorageOptions options) => Path.Combine(Path.GetDirectoryName(SqliteFile.PathOf(options))!, "access.db");
}

/// <summary>The tables of the token server in the database of the records.</summary>
internal sealed class PostgresAccessContext(DbContextOptions<PostgresAccessContext> options) : AccessContext(options)
{
    public static void Configure(DbContextOptionsBuilder builder, StorageOptions options) =>
        builder.UseNpgsql(PostgresConnection.Of(options), postgres => postgres.MigrationsHistoryTable(HistoryTable));
}

/// <summary>Used by the migration tool only; never opens a connection.</summary>
internal sealed class SqliteAccessDesignTimeContext : IDesignTimeDbContextFactory<SqliteAccessContext>
{
    public SqliteAccessContext CreateDbContext(string[] args) =>
        new(new DbContextOptionsBuilder<SqliteAccessContext>().UseSqlite("Data Source=:memory:", sqlite => sqlite.MigrationsHistoryTable(AccessContext.HistoryTable)).Options);
}

/// <summary>Used by the migration tool only; never opens a connection.</summary>
internal sealed class PostgresAccessDesignTimeContext : IDesignTimeDbContextFactory<PostgresAccessContext>
{
    public PostgresAccessContext CreateDbContext(string[] args) =>
        new(new DbContextOptionsBuilder<PostgresAccessContext>().UseNpgsql("Host=localhost", postgres => postgres.MigrationsHistoryTable(AccessContext.HistoryTable)).Options);
}
