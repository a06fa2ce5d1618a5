namespace EarReferral.Storage.Schema;

/// <summary>Lets one start at a time migrate a SQLite file; the operating system gives it back when the process dies.</summary>
internal sealed class MigrationFileLock : IDisposable
{
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(100);

    private readonly FileStream? file;

    private MigrationFileLock(FileStream? file) => this.file = file;

    public static async Task<MigrationFileLock> TakeAsync(string? databasePath, CancellationToken cancellationToken)
    {
        if (databasePath is null)
        {
            return new MigrationFileLock(null);
        }

        SqliteFile.Prepare(databasePath);
        while (true)
        {
            try
            {
                return new MigrationFileLock(new FileStream(databasePath + ".migrating", FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None));
            }
            catch (IOException) when (File.Exists(databasePath + ".migrating"))
            {
                // Another start holds it; that start ends or dies, and either frees it.
                await Task.Delay(Pause, cancellationToken);
            }
        }
    }

    public void Dispose() => file?.Dispose();
}
