namespace EarReferral.Storage;

/// <summary>Which database keeps the state.</summary>
public enum StorageProvider
{
    /// <summary>One file on one machine.</summary>
    Sqlite,

    /// <summary>A PostgreSQL server, for more than one node.</summary>
    PostgreSql,
}

/// <summary>Where the state is kept.</summary>
public sealed class StorageOptions
{
    /// <summary>Name of the configuration section.</summary>
    public const string Section = "Storage";

    /// <summary>Database; SQLite unless said otherwise.</summary>
    public StorageProvider Provider { get; set; } = StorageProvider.Sqlite;

    /// <summary>Connection string; required for PostgreSQL, and for SQLite instead of <see cref="DataFolder"/>.</summary>
    public string? ConnectionString { get; set; }

    /// <summary>Folder of the SQLite file <c>ear-referral.db</c>; used when no connection string is given.</summary>
    public string? DataFolder { get; set; }

    /// <summary>
    /// On PostgreSQL: how long a process may say nothing within a transaction before the server ends it, above nil. Shorter than a
    /// lease, so that the work of an instance that was stopped is taken over as soon as its lease ends.
    /// </summary>
    public TimeSpan LongestPause { get; set; } = TimeSpan.FromSeconds(10);
}
