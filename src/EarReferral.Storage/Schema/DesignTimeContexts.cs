using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Design;

namespace EarReferral.Storage.Schema;

/// <summary>Used by the migration tool only; never opens a connection.</summary>
internal sealed class SqliteDesignTimeContext : IDesignTimeDbContextFactory<SqliteStoreContext>
{
    public SqliteStoreContext CreateDbContext(string[] args) =>
        new(new DbContextOptionsBuilder<SqliteStoreContext>().UseSqlite("Data Source=:memory:").Options);
}

/// <summary>Used by the migration tool only; never opens a connection.</summary>
internal sealed class PostgresDesignTimeContext : IDesignTimeDbContextFactory<PostgresStoreContext>
{
    public PostgresStoreContext CreateDbContext(string[] args) =>
        new(new DbContextOptionsBuilder<PostgresStoreContext>().UseNpgsql("Host=localhost").Options);
}
