using Microsoft.Data.Sqlite;

namespace EarReferral.Storage.Schema;

/// <summary>The database file, readable by the service's own user only.</summary>
internal static class SqliteFile
{
    private const UnixFileMode OwnerOnly = UnixFileMode.UserRead | UnixFileMode.UserWrite;

    public static string PathOf(StorageOptions options)
    {
        var path = options.ConnectionString is { Length: > 0 } text
            ? new SqliteConnectionStringBuilder(text).DataSource
            : Path.Combine(
                options.DataFolder ?? throw new InvalidOperationException("Storage needs a ConnectionString or a DataFolder."),
                "ear-referral.db");
        return path is "" or ":memory:"
            ? throw new InvalidOperationException("Storage in memory would lose acknowledged referrals; name a file.")
            : Path.GetFullPath(path);
    }

    /// <summary>Creates folder and file before SQLite does; SQLite gives its -wal and -shm files the mode of the main file.</summary>
    public static void Prepare(string path)
    {
        var folder = Path.GetDirectoryName(path)!;
        if (OperatingSystem.IsWindows())
        {
            Directory.CreateDirectory(folder);
            return;
        }

        Directory.CreateDirectory(folder, OwnerOnly | UnixFileMode.UserExecute);
        if (!File.Exists(path))
        {
            using var created = new FileStream(path, new FileStreamOptions
            {
                Mode = FileMode.OpenOrCreate,
                Access = FileAccess.ReadWrite,
                Share = FileShare.ReadWrite,
                UnixCreateMode = OwnerOnly,
            });
        }

        // An existing file is not opened here: closing it would drop the locks that SQLite holds on it in this process.
        File.SetUnixFileMode(path, OwnerOnly);
    }
}
