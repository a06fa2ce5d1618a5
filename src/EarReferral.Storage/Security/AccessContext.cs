using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Security;

/// <summary>
/// Tables of the token server and of used assertions. A context of its own with a migration history of its own, so that the library's
/// tables change without touching those of the records.
/// </summary>
public abstract class AccessContext(DbContextOptions options) : DbContext(options)
{
    internal const string HistoryTable = "__access_history";

    internal DbSet<UsedAssertionRow> UsedAssertions => Set<UsedAssertionRow>();

    /// <inheritdoc />
    protected override void OnModelCreating(ModelBuilder modelBuilder)
    {
        modelBuilder.UseOpenIddict();
        modelBuilder.Entity<UsedAssertionRow>(table =>
        {
            table.ToTable("used_assertion").HasKey(row => new { row.Issuer, row.TokenId });
            table.Property(row => row.Issuer).HasColumnName("issuer");
            table.Property(row => row.TokenId).HasColumnName("token_id");
            table.Property(row => row.ExpiresAt).HasColumnName("expires_at");
            table.HasIndex(row => row.ExpiresAt);
        });
    }
}

/// <summary>An assertion that a client has used; its key is what makes a second use impossible on every instance.</summary>
internal sealed class UsedAssertionRow
{
    public required string Issuer { get; init; }

    /// <summary>SHA-256 of the <c>jti</c>, lower-case hexadecimal, so that a client cannot make the key as long as it likes.</summary>
    public required string TokenId { get; init; }

    /// <summary>Unix seconds after which the assertion is refused for its age anyway.</summary>
    public required long ExpiresAt { get; init; }
}
