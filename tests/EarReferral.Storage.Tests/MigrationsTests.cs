using EarReferral.Storage.Schema;
using EarReferral.Storage.Security;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Tests;

/// <summary>The migrations make the tables that the model describes; asked of the model alone, so no server is needed.</summary>
public sealed class MigrationsTests
{
    [Fact]
    public void SqliteMigrations_MatchTheModel()
    {
        using var context = new SqliteDesignTimeContext().CreateDbContext([]);

        Assert.False(context.Database.HasPendingModelChanges());
    }

    [Fact]
    public void PostgreSqlMigrations_MatchTheModel()
    {
        using var context = new PostgresDesignTimeContext().CreateDbContext([]);

        Assert.False(context.Database.HasPendingModelChanges());
    }

    [Fact]
    public void MigrationsOfTheTokenServer_MatchTheModel_OnBothStores()
    {
        using var sqlite = new SqliteAccessDesignTimeContext().CreateDbContext([]);
        using var postgres = new PostgresAccessDesignTimeContext().CreateDbContext([]);

        Assert.False(sqlite.Database.HasPendingModelChanges());
        Assert.False(postgres.Database.HasPendingModelChanges());
    }
}
