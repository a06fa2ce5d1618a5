namespace EarReferral.Storage.Tests.Databases;

/// <summary>
/// One store for all rows of a theory that only reads it. The first row opens and fills it, so that on a machine without the
/// database each row is skipped by itself.
/// </summary>
public abstract class SharedStore(DatabaseKind kind) : IAsyncDisposable
{
    private TestStore? store;

    public async Task<TestStore> GetAsync(Func<TestStore, Task> fill)
    {
        if (store is null)
        {
            store = await kind.NewAsync();
            await store.Store.MigrateAsync(TestContext.Current.CancellationToken);
            await fill(store);
        }

        return store;
    }

    public async ValueTask DisposeAsync()
    {
        GC.SuppressFinalize(this);
        if (store is not null)
        {
            await store.DisposeAsync();
        }
    }
}

public sealed class SharedSqlite() : SharedStore(DatabaseKind.Sqlite);

public sealed class SharedPostgreSql() : SharedStore(DatabaseKind.PostgreSql);
