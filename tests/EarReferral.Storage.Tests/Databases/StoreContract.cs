namespace EarReferral.Storage.Tests.Databases;

/// <summary>Base of tests that hold on every database: each test gets its own empty store.</summary>
public abstract class StoreContract(DatabaseKind kind) : IAsyncLifetime
{
    protected static CancellationToken Stop => TestContext.Current.CancellationToken;

    protected static Reach Everything { get; } = new Reach.Everything("test");

    protected TestStore Store { get; private set; } = null!;

    public async ValueTask InitializeAsync()
    {
        Store = await kind.NewAsync();
        await Store.Store.MigrateAsync(Stop);
    }

    public async ValueTask DisposeAsync()
    {
        GC.SuppressFinalize(this);
        if (Store is not null)
        {
            await Store.DisposeAsync();
        }
    }
}
