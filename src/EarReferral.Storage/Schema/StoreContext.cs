using System.Text;
using EarReferral.Storage.Schema.Rows;
using EarReferral.Storage.Search;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Schema;

/// <summary>The tables; one derived context per database carries that database's migrations.</summary>
internal abstract class StoreContext(DbContextOptions options) : DbContext(options)
{
    private readonly List<SearchRow> unwritten = [];

    public DbSet<IdentitySeedRow> IdentitySeeds => Set<IdentitySeedRow>();

    public DbSet<PatientLinkRow> PatientLinks => Set<PatientLinkRow>();

    public DbSet<IdentityConflictRow> IdentityConflicts => Set<IdentityConflictRow>();

    public DbSet<IdentityDecisionRow> IdentityDecisions => Set<IdentityDecisionRow>();

    public DbSet<EncounterRow> Encounters => Set<EncounterRow>();

    public DbSet<RecordCheckRow> RecordChecks => Set<RecordCheckRow>();

    public DbSet<HistoryReviewRow> HistoryReviews => Set<HistoryReviewRow>();

    public DbSet<ResourceRow> Resources => Set<ResourceRow>();

    public DbSet<ResourceVersionRow> ResourceVersions => Set<ResourceVersionRow>();

    public DbSet<SearchTokenRow> SearchTokens => Set<SearchTokenRow>();

    public DbSet<SearchDateRow> SearchDates => Set<SearchDateRow>();

    public DbSet<SearchReferenceRow> SearchReferences => Set<SearchReferenceRow>();

    public DbSet<SearchTextRow> SearchTexts => Set<SearchTextRow>();

    public DbSet<ReferralRow> Referrals => Set<ReferralRow>();

    public DbSet<LaterVisitRow> LaterVisits => Set<LaterVisitRow>();

    public DbSet<ReferralEventRow> ReferralEvents => Set<ReferralEventRow>();

    public DbSet<QuarantineRow> Quarantine => Set<QuarantineRow>();

    public DbSet<OutboxRow> Outbox => Set<OutboxRow>();

    public DbSet<AttemptRow> Attempts => Set<AttemptRow>();

    public DbSet<DestinationRow> Destinations => Set<DestinationRow>();

    public DbSet<KnownResourceRow> KnownResources => Set<KnownResourceRow>();

    public DbSet<AlarmRow> Alarms => Set<AlarmRow>();

    public DbSet<AlarmMessageRow> AlarmMessages => Set<AlarmMessageRow>();

    public DbSet<ChannelRow> Channels => Set<ChannelRow>();

    public DbSet<AuditRow> Audit => Set<AuditRow>();

    public DbSet<AuditSealRow> AuditSeals => Set<AuditSealRow>();

    public DbSet<RefusalRow> Refusals => Set<RefusalRow>();

    public DbSet<StoreFactRow> Facts => Set<StoreFactRow>();

    /// <summary>
    /// Waits for the named lock and holds it until the transaction ends; SQLite has one writer anyway. The unique keys decide
    /// who was first; a lock per clinic only keeps two saves from deadlocking over the clinic's people and organisations.
    /// </summary>
    public abstract Task LockAsync(string name, CancellationToken cancellationToken);

    /// <summary>
    /// The clock by which leases begin and end: the server's own where several machines share it, since theirs may differ by more
    /// than a lease; otherwise what the caller says.
    /// </summary>
    public abstract Task<DateTimeOffset> LeaseClockAsync(DateTimeOffset now, CancellationToken cancellationToken);

    /// <summary>The most urgent sends of a destination that may be tried now, most urgent first, locked where the database can lock rows.</summary>
    public abstract IQueryable<OutboxRow> NextSends(string destination, DateTimeOffset now, DateTimeOffset leaseNow, int count);

    /// <summary>Index rows to be written with the next save, past change tracking.</summary>
    public void AddIndex(IEnumerable<SearchRow> rows) => unwritten.AddRange(rows);

    /// <inheritdoc />
    public override async Task<int> SaveChangesAsync(bool acceptAllChangesOnSuccess, CancellationToken cancellationToken = default)
    {
        var written = await base.SaveChangesAsync(acceptAllChangesOnSuccess, cancellationToken);
        foreach (var (table, rows) in SearchTable.Of(this, unwritten))
        {
            await InsertAsync(table, rows, cancellationToken);
        }

        written += unwritten.Count;
        unwritten.Clear();
        return written;
    }

    /// <summary>Writes index rows in the open transaction by what the database has for many rows at once.</summary>
    protected abstract Task InsertAsync(SearchTable table, IReadOnlyList<SearchRow> rows, CancellationToken cancellationToken);

    protected override void ConfigureConventions(ModelConfigurationBuilder configurationBuilder)
    {
        configurationBuilder.Properties<DateTimeOffset>().HaveConversion<UnixMilliseconds>();
        configurationBuilder.Properties<Enum>().HaveConversion<string>();
    }

    protected override void OnModelCreating(ModelBuilder modelBuilder)
    {
        IdentityTables(modelBuilder);
        RecordTables(modelBuilder);
        SearchTables(modelBuilder);
        ReferralTables(modelBuilder);
        AlarmTables(modelBuilder);
        foreach (var property in modelBuilder.Model.GetEntityTypes().SelectMany(entity => entity.GetProperties()))
        {
            property.SetColumnName(SnakeCase(property.Name));
        }
    }

    private static void IdentityTables(ModelBuilder model)
    {
        model.Entity<IdentitySeedRow>(table =>
        {
            table.ToTable("identity_seed").HasKey(row => new { row.ClinicId, row.Kind, row.LocalId });
            table.HasIndex(row => row.Seed).IsUnique();
        });
        model.Entity<PatientLinkRow>(table =>
        {
            table.ToTable("patient_link").HasKey(row => row.EncounterKey);
            table.HasIndex(row => row.NhsNumber);
            table.HasIndex(row => row.PatientKey);
        });
        model.Entity<IdentityDecisionRow>(table =>
        {
            table.ToTable("identity_decision").HasKey(row => row.Id);
            table.HasIndex(row => row.PatientKey);
        });
        model.Entity<IdentityConflictRow>(table =>
            table.ToTable("identity_conflict").HasKey(row => new { row.PatientKey, row.Kind, row.NhsNumber }));
    }

    private static void RecordTables(ModelBuilder model)
    {
        model.Entity<EncounterRow>(table =>
        {
            table.ToTable("encounter_revision").HasKey(row => row.Id);
            table.HasIndex(row => new { row.ClinicId, row.ClinicEncounterId, row.Revision }).IsUnique();
            table.HasIndex(row => new { row.EncounterKey, row.Revision }).IsUnique();
            table.HasIndex(row => new { row.ClinicId, row.PracticeOds });
            table.HasIndex(row => row.ReceivedAt);
        });
        model.Entity<RecordCheckRow>(table =>
        {
            table.ToTable("record_check").HasKey(row => row.Id);
            table.HasIndex(row => row.EncounterKey);
        });
        model.Entity<HistoryReviewRow>(table => table.ToTable("history_review").HasKey(row => row.EncounterKey));
        model.Entity<LaterVisitRow>(table =>
        {
            table.ToTable("later_visit").HasKey(row => row.EncounterKey);
            table.HasIndex(row => row.ReferralId);
        });
        model.Entity<ResourceRow>(table =>
        {
            table.ToTable("resource").HasKey(row => row.Key);
            table.HasIndex(row => new { row.Type, row.Id }).IsUnique();
            table.HasIndex(row => row.EncounterKey);
            table.HasIndex(row => new { row.Type, row.LastUpdated, row.Id });
            table.HasIndex(row => new { row.Type, row.SortDate, row.Id });
            table.Property(row => row.Version).IsConcurrencyToken();
        });
        model.Entity<ResourceVersionRow>(table =>
        {
            table.ToTable("resource_version").HasKey(row => new { row.ResourceKey, row.Version });
            table.HasOne(row => row.Resource).WithMany().HasForeignKey(row => row.ResourceKey);
        });
        model.Entity<AuditRow>(table =>
        {
            table.ToTable("audit").HasKey(row => row.Id);
            table.HasIndex(row => row.At);
            table.HasIndex(row => row.PatientKey);
        });
        model.Entity<AuditSealRow>(table =>
        {
            table.ToTable("audit_seal").HasKey(row => row.Position);
            table.Property(row => row.Position).ValueGeneratedNever();
            table.HasIndex(row => row.AuditId).IsUnique();
        });
        model.Entity<RefusalRow>(table =>
        {
            table.ToTable("refusal").HasKey(row => row.Id);
            table.HasIndex(row => new { row.ClinicId, row.At });
        });
        model.Entity<StoreFactRow>(table => table.ToTable("store_fact").HasKey(row => row.Name));
    }

    private static void SearchTables(ModelBuilder model)
    {
        Indexed<SearchTokenRow>(model, "search_token").HasIndex(row => new { row.Parameter, row.Code, row.System });
        Indexed<SearchDateRow>(model, "search_date").HasIndex(row => new { row.Parameter, row.From });
        Indexed<SearchReferenceRow>(model, "search_reference").HasIndex(row => new { row.Parameter, row.TargetId });
        Indexed<SearchTextRow>(model, "search_text").HasIndex(row => new { row.Parameter, row.Normalised });
    }

    private static Microsoft.EntityFrameworkCore.Metadata.Builders.EntityTypeBuilder<TRow> Indexed<TRow>(ModelBuilder model, string name)
        where TRow : SearchRow
    {
        var table = model.Entity<TRow>();
        table.ToTable(name).HasKey(row => row.Key);
        table.HasOne(row => row.Resource).WithMany().HasForeignKey(row => row.ResourceKey);
        return table;
    }

    private static void ReferralTables(ModelBuilder model)
    {
        model.Entity<ReferralRow>(table =>
        {
            table.ToTable("referral").HasKey(row => row.ReferralId);
            table.HasIndex(row => row.TaskId).IsUnique();
            table.HasIndex(row => row.IdempotencyKey).IsUnique();
            table.HasIndex(row => row.EncounterKey);
            table.HasIndex(row => new { row.ChangedAt, row.ReferralId });
        });
        model.Entity<ReferralEventRow>(table =>
        {
            table.ToTable("referral_event").HasKey(row => row.Id);
            table.HasIndex(row => row.ReferralId);
            table.HasOne<ReferralRow>().WithMany().HasForeignKey(row => row.ReferralId);
        });
        model.Entity<QuarantineRow>(table =>
        {
            table.ToTable("quarantine").HasKey(row => row.Id);
            table.HasIndex(row => row.At);
        });
        model.Entity<OutboxRow>(table =>
        {
            table.ToTable("outbox").HasKey(row => row.ReferralId);
            table.HasOne(row => row.Referral).WithOne().HasForeignKey<OutboxRow>(row => row.ReferralId);
            table.HasIndex(row => new { row.Destination, row.State, row.Lane, row.Due });
        });
        model.Entity<AttemptRow>(table =>
        {
            table.ToTable("attempt").HasKey(row => row.Id);
            table.HasIndex(row => row.ReferralId);
            table.HasOne<ReferralRow>().WithMany().HasForeignKey(row => row.ReferralId);
        });
        model.Entity<DestinationRow>(table =>
        {
            table.ToTable("destination").HasKey(row => row.Name);
            table.Property(row => row.Change).IsConcurrencyToken();
        });
        model.Entity<KnownResourceRow>(table => table.ToTable("known_resource").HasKey(row => new { row.Destination, row.Key }));
    }

    private static void AlarmTables(ModelBuilder model)
    {
        model.Entity<AlarmRow>(table =>
        {
            table.ToTable("alarm").HasKey(row => row.Id);
            table.HasIndex(row => row.Key);
            table.HasIndex(row => row.ReferralId);
            table.HasIndex(row => new { row.AcknowledgedAt, row.NextAt });
        });
        model.Entity<AlarmMessageRow>(table =>
        {
            table.ToTable("alarm_message").HasKey(row => row.Id);
            table.HasIndex(row => row.AlarmId);
            table.HasOne<AlarmRow>().WithMany().HasForeignKey(row => row.AlarmId);
        });
        model.Entity<ChannelRow>(table => table.ToTable("channel").HasKey(row => row.Name));
    }

    private static string SnakeCase(string name)
    {
        var text = new StringBuilder();
        foreach (var letter in name)
        {
            if (char.IsUpper(letter) && text.Length > 0)
            {
                text.Append('_');
            }

            text.Append(char.ToLowerInvariant(letter));
        }

        return text.ToString();
    }
}
